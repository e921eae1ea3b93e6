// What the trials saw, as a table: part | address | device | seen. A test that fails leaves its first error as its line.
import type { TestInfo } from '@playwright/test'
import type { Reporter, TestCase, TestResult } from '@playwright/test/reporter'

const SEEN = 'seen'

/** One line of the table. */
export function seen(info: TestInfo, part: string, address: string, device: string, what: string): void {
  info.annotations.push({ type: SEEN, description: [part, address, device, what].join(' | ') })
}

export default class Table implements Reporter {
  #lines: string[] = []

  onTestEnd(test: TestCase, result: TestResult): void {
    for (const { type, description } of result.annotations) if (type === SEEN) this.#lines.push(description ?? '')
    if (result.status === 'passed' || result.status === 'skipped') return
    this.#lines.push(`${test.title} | FAILED | ${(result.error?.message ?? result.status).split('\n')[0] ?? ''}`)
  }

  onEnd(): void {
    if (!this.#lines.length) return
    process.stdout.write(`\npart | address | device | seen\n${this.#lines.sort((a, b) => a.localeCompare(b)).join('\n')}\n`)
  }

  printsToStdio(): boolean {
    return false
  }
}
