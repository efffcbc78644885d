/*
 * What stands at a place of a text: the readers of amounts and of lines go through normalised lower-case text from
 * left to right with these.
 */

/** What `pattern` matches at `at`; the pattern is sticky. */
export function matchAt(pattern: RegExp, text: string, at: number): RegExpExecArray | null {
  pattern.lastIndex = at;
  return pattern.exec(text);
}

/** End of what `pattern` matches at `at`, or `at`. */
export function endAt(pattern: RegExp, text: string, at: number): number {
  pattern.lastIndex = at;
  return pattern.test(text) ? pattern.lastIndex : at;
}

/** Whether a character's code is that of a digit. */
export const isDigit = (c: number) => c >= 48 && c <= 57;
/** Whether a digit stands at `at`. */
export const isDigitAt = (text: string, at: number) => isDigit(text.charCodeAt(at));

const LETTERS = /[\p{L}\p{M}]+/uy;

/** End of the run of letters at `at`; `at` itself when there is none. */
export function letterEnd(text: string, at: number): number {
  let end = at;
  for (; end < text.length; end += 1) {
    const c = text.charCodeAt(end);
    if (c > 127) return endAt(LETTERS, text, at);
    if (c < 97 || c > 122) break;
  }
  return end;
}
