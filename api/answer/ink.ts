/*
 * JSON written as bytes. Joining some four hundred pieces of text makes a tree of them, which is laid flat and
 * turned into bytes afterwards: that took longer than placing the drink. Answers stand one behind the other on a
 * page, and a new page is begun when one is full; nothing is awaited between `begin` and `finished`.
 */

/** A client that does not read holds a page, so that a longer one would cost more than it saves. */
const PAGE = 1 << 15;

let page = Buffer.allocUnsafeSlow(PAGE);
let start = 0;
let at = 0;

function makeRoom(bytes: number): void {
  if (at + bytes > page.length) turnPage(bytes);
}

function turnPage(bytes: number): void {
  const written = at - start;
  const next = Buffer.allocUnsafeSlow(Math.max(PAGE, 2 * (written + bytes)));
  page.copy(next, 0, start, at);
  page = next;
  start = 0;
  at = written;
}

/** A new answer. What one before has left unfinished, because something was thrown, is gone. */
export function begin(): void {
  at = start;
}

/** What was written since `begin`. */
export function finished(): Buffer<ArrayBuffer> {
  const bytes = page.subarray(start, at);
  start = at;
  // A page for one long answer goes with it.
  if (page.length > PAGE) turnPage(0);
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
  const [to, first] = [page, at];
  if (length >= LONG) to.set(bytes, first);
  else for (let i = 0; i < length; i++) to[first + i] = bytes[i]!;
  at = first + length;
}

/** What is ASCII for certain. */
export function ascii(text: string): void {
  const { length } = text;
  makeRoom(length);
  const [to, first] = [page, at];
  for (let i = 0; i < length; i++) to[first + i] = text.charCodeAt(i);
  at = first + length;
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
  const [to, first] = [page, at + 1];
  for (let i = 0; i < length; i++) {
    const code = text.charCodeAt(i);
    if (code < 32 || code > 126 || code === QUOTE || code === BACKSLASH) {
      escaped(text);
      return;
    }
    to[first + i] = code;
  }
  to[first - 1] = QUOTE;
  to[first + length] = QUOTE;
  at = first + length + 1;
}

function escaped(text: string): void {
  const json = JSON.stringify(text);
  makeRoom(3 * json.length);
  at += page.write(json, at);
}

/**
 * A number with all its digits; what is no number is null. A decimal of so few digits that gives the number is its
 * shortest one too: two of them never give the same.
 */
export function whole(x: number): void {
  const steps = Math.round(x * EXACT_SCALE);
  if (Math.abs(steps) < MOST_SMALL && steps / EXACT_SCALE === x) digits(steps, EXACT_DECIMALS);
  else ascii(Number.isFinite(x) ? String(x) : "null");
}

const SCALES = Array.from({ length: 11 }, (_, decimals) => 10 ** decimals);
const EXACT_DECIMALS = 6;
const EXACT_SCALE = 10 ** EXACT_DECIMALS;
/** Beyond this a whole number is no longer a small integer of the runtime. */
const MOST_SMALL = 2 ** 30;
const MOST_LETTERS = 13;

/**
 * A number to so many decimals, ten at most, zeros at the end left out. Digit by digit from a small integer: that
 * takes a fraction of the time in which the shortest decimal of a double is found, and gives the same text.
 */
export function rounded(x: number, decimals: number): void {
  const scale = SCALES[decimals]!;
  const steps = Math.round(x * scale);
  if (Math.abs(steps) < MOST_SMALL) digits(steps, decimals);
  else whole(steps / scale);
}

/** So many steps of the last decimal. */
function digits(steps: number, decimals: number): void {
  makeRoom(MOST_LETTERS);
  const to = page;
  let first = at;
  if (steps < 0) to[first++] = MINUS;
  let rest = Math.abs(steps) | 0;
  let left = decimals;
  for (; left > 0 && rest % 10 === 0; left--) rest = (rest / 10) | 0;
  let count = 1;
  for (let more = (rest / 10) | 0; more > 0; more = (more / 10) | 0) count++;
  if (count <= left) count = left + 1;
  const end = first + count + (left > 0 ? 1 : 0);
  let i = end;
  for (; left > 0; left--) {
    to[--i] = ZERO + (rest % 10);
    rest = (rest / 10) | 0;
    if (left === 1) to[--i] = POINT;
  }
  while (i > first) {
    to[--i] = ZERO + (rest % 10);
    rest = (rest / 10) | 0;
  }
  at = end;
}
