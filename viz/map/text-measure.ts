import type { TextStyle } from "./scene.ts";

/** Widths are kept, as the same names are measured at every step of a drag. */
const MOST_KEPT = 4000;

/**
 * A function that gives a text's width in pixels in the font family `family` names at the first call. Where there is no
 * canvas (a test without a browser) widths are estimated from the number of characters.
 */
export function createTextMeasure(family: () => string): (text: string, style: TextStyle) => number {
  const pen = document.createElement("canvas").getContext("2d");
  const kept = new Map<string, number>();
  let face: string | null = null;
  return (text, style) => {
    const weight = `${style.bold ? "600 " : ""}${style.px}px`;
    const key = `${weight} ${text}`;
    const known = kept.get(key);
    if (known !== undefined) return known;
    face ??= family() || "sans-serif";
    let width = text.length * style.px * 0.56;
    if (pen) {
      pen.font = `${weight} ${face}`;
      width = pen.measureText(text).width;
    }
    if (kept.size >= MOST_KEPT) kept.clear();
    kept.set(key, width);
    return width;
  };
}
