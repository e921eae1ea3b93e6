// Gives the code that stands after # in the address for a session. Nothing of it is kept.
'use strict'
const form = document.getElementById('pair')
const code = document.getElementById('code')
const name = document.getElementById('name')
const said = document.getElementById('said')

const enter = () => location.replace('/')

// A way back by a link from elsewhere brings no session along; asked from here, it does.
const isIn = async () => {
  try {
    return (await fetch('/api/access')).ok
  } catch {
    return false
  }
}

const pair = async () => {
  said.textContent = 'One moment…'
  const ask = { code: code.value, ...(name.value.trim() ? { name: name.value.trim() } : {}) }
  try {
    const answer = await fetch('/api/access/pair', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(ask),
    })
    if (answer.ok) return enter()
    const problem = await answer.json()
    said.textContent = `${problem.detail}. ${problem.hint}.`
  } catch {
    said.textContent = 'Middlecut does not answer. Is this device in the same network?'
  }
}

form.addEventListener('submit', (event) => {
  event.preventDefault()
  void pair()
})

/** Takes a code out of the address, where one stands there. */
const take = () => {
  let told = location.hash.slice(1)
  try {
    told = decodeURIComponent(told)
  } catch {
    // As it stands: the server says what is wrong with it.
  }
  if (!told) return false
  // Out of the address and of the browser's history.
  history.replaceState(null, '', '/pair')
  code.value = told
  name.focus()
  said.textContent = 'The code is filled in. Name this browser if you like, then let it in.'
  return true
}

// A square that is scanned while this page stands open changes the address alone.
window.addEventListener('hashchange', take)
if (!take()) void isIn().then((is) => { if (is) enter() })
