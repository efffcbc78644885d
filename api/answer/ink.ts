/*
 * JSON written as bytes. Joining some four hundred pieces of text makes a tree of them, which is laid flat and
 * turned into bytes afterwards: that took longer than placing the drink. One page is written over for every answer;
 * nothing is awaited between `begin` and `finished`.
 */

const USUAL_PAGE = 1 << 16;

let page = Buffer.allocUnsafeSlow(USUAL_PAGE);
let at = 0;

function makeRoom(bytes: number): void {
  if (at + bytes <= page.length) return;
  const larger = Buffer.allocUnsafeSlow(Math.max(2 * page.length, at + bytes));
  larger.set(page.subarray(0, at));
  page = larger;
}

/** A new answer. What one before has left unfinished, because something was thrown, is gone. */
export function begin(): void {
  at = 0;
}

/** What was written since `begin`. */
export function finished(): Buffer<ArrayBuffer> {
  const bytes = Buffer.allocUnsafe(at);
  page.copy(bytes, 0, 0, at);
  // One large answer is no reason to keep as much for the small ones.
  if (page.length > USUAL_PAGE) page = Buffer.allocUnsafeSlow(USUAL_PAGE);
  return bytes;
}

/** One character of ASCII, by its code. */
export function mark(code: number): void {
  makeRoom(1);
  page[at++] = code;
}

/** Bytes from here a library call copies faster than a loop. */
const LONG = 100;

export function raw(bytes: Uint8Array): void {
  const { length } = bytes;
  makeRoom(length);
  if (length >= LONG) page.set(bytes, at);
  else for (let i = 0; i < length; i++) page[at + i] = bytes[i]!;
  at += length;
}

/** What is ASCII for certain. */
export function ascii(text: string): void {
  const { length } = text;
  makeRoom(length);
  for (let i = 0; i < length; i++) page[at + i] = text.charCodeAt(i);
  at += length;
}

const QUOTE = 34;
const MINUS = 45;
const POINT = 46;
const ZERO = 48;
const BACKSLASH = 92;

/** A text in quotes. */
export function quoted(text: string): void {
  const { length } = text;
  makeRoom(length + 2);
  const first = at + 1;
  for (let i = 0; i < length; i++) {
    const code = text.charCodeAt(i);
    if (code < 32 || code > 126 || code === QUOTE || code === BACKSLASH) {
      escaped(text);
      return;
    }
    page[first + i] = code;
  }
  page[at] = QUOTE;
  page[first + length] = QUOTE;
  at = first + length + 1;
}

function escaped(text: string): void {
  const json = JSON.stringify(text);
  makeRoom(3 * json.length);
  at += page.write(json, at);
}

/** A number with all its digits; what is no number is null. */
export function whole(x: number): void {
  ascii(Number.isFinite(x) ? String(x) : "null");
}

const SCALES = [0, 1, 2, 3, 4, 5, 6].map((decimals) => 10 ** decimals);
/** Beyond this a whole number is no longer a small integer of the runtime. */
const MOST_SMALL = 2 ** 30;
const MOST_DIGITS = 12;

/**
 * A number to so many decimals, six at most, zeros at the end left out. Digit by digit from a small integer: that
 * takes a fraction of the time in which the shortest decimal of a double is found, and gives the same text.
 */
export function rounded(x: number, decimals: number): void {
  const scale = SCALES[decimals]!;
  const steps = Math.round(x * scale);
  if (!(Math.abs(steps) < MOST_SMALL)) {
    whole(steps / scale);
    return;
  }
  makeRoom(MOST_DIGITS);
  let rest = Math.abs(steps) | 0;
  let left = decimals;
  for (; left > 0 && rest % 10 === 0; left--) rest = (rest / 10) | 0;
  let digits = 1;
  for (let more = (rest / 10) | 0; more > 0; more = (more / 10) | 0) digits++;
  if (digits <= left) digits = left + 1;
  if (steps < 0) page[at++] = MINUS;
  const end = at + digits + (left > 0 ? 1 : 0);
  let i = end;
  for (; left > 0; left--) {
    page[--i] = ZERO + (rest % 10);
    rest = (rest / 10) | 0;
    if (left === 1) page[--i] = POINT;
  }
  while (i > at) {
    page[--i] = ZERO + (rest % 10);
    rest = (rest / 10) | 0;
  }
  at = end;
}
