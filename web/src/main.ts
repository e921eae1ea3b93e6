// Puts the page on screen.
import { mount } from 'svelte'
import App from './App.svelte'
import './style/tokens.css'
import './style/base.css'
import './style/press.css'

const root = document.getElementById('app')
if (!root) throw new Error('the page has no #app to stand in')

export default mount(App, { target: root })
