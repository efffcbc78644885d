import { select } from "d3";
import { createCamera } from "../map/camera.ts";
import { drinkAtHand, itemsOf } from "../map/items.ts";
import { noLabels } from "../map/label-rest.ts";
import { layoutFor } from "../map/layout.ts";
import type { LayerName, MapModel } from "../map/model.ts";
import { createPicture } from "../map/picture.ts";
import type { TextStyle } from "../map/scene.ts";
import type { Svg } from "../map/svg-layer.ts";
import { createTextMeasure } from "../map/text-measure.ts";
import textFace from "../style/fonts/text-400.woff2?url";
import boldFace from "../style/fonts/text-600.woff2?url";
import { standaloneSvg } from "./standalone-svg.ts";

/** What is set beside the map on a sheet. */
export interface SheetWords {
  title: string;
  headline: string;
  inside: boolean;
  detail: string;
  /** "2 oz", "Aged rum": one an ingredient. */
  lines: readonly { amount: string; name: string }[];
  making: string;
  region: string;
  /** Day, numbers, glass. */
  facts: readonly string[];
  source: string;
}

/** An A-format sheet lying on its side, in the SVG's own units: 1 : √2. */
const SHEET = { width: 1188, height: 840 };
const MARGIN = 44;
const SIDE = 300;

type TextMeasure = ReturnType<typeof createTextMeasure>;

const escaped = (text: string) =>
  text.replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c] ?? c);

async function dataUrl(url: string): Promise<string> {
  const bytes = new Uint8Array(await (await fetch(url)).arrayBuffer());
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return `data:font/woff2;base64,${btoa(text)}`;
}

/** The page's typeface as rules that travel inside a file. */
export async function faceRules(): Promise<string> {
  const [text, bold] = await Promise.all([dataUrl(textFace), dataUrl(boldFace)]);
  return [
    [text, 400],
    [bold, 600],
  ]
    .map(
      ([url, weight]) =>
        `@font-face{font-family:"Sheet";font-weight:${weight};src:url(${url}) format("woff2")}`,
    )
    .join("");
}

/** Draw the map once at a size, outside the page's sight, and give it as markup without a stylesheet. */
export function mapMarkup(model: MapModel, width: number, height: number, typePx: number): string {
  const host = document.createElement("div");
  host.className = "map-offscreen";
  document.body.append(host);
  const svg = select(host).append("svg").attr("class", "map-picture") as unknown as Svg;
  const items = itemsOf(model);
  const camera = createCamera();
  camera.follow(model, items);
  const layers: ReadonlySet<LayerName> = new Set(["classics", "names", "doubt", "trail", "range"]);
  createPicture(svg).draw({
    frame: camera.frame(layoutFor(width, height, typePx)),
    model: { ...model, pull: null, wish: null },
    items,
    hand: drinkAtHand(items, model),
    cursor: null,
    layers,
    measure: createTextMeasure(() => getComputedStyle(host).fontFamily),
    idPrefix: "sheet",
    labels: noLabels(),
  });
  const text = standaloneSvg(svg.node()!);
  host.remove();
  return text;
}

/** A text in lines no wider than `most` at its size; a word without a break is cut where it must be. */
function wrapped(text: string, most: number, style: TextStyle, measure: TextMeasure): string[] {
  const fits = (line: string) => measure(line, style) <= most;
  const lines: string[] = [];
  for (const word of text.split(" ")) {
    const joined = lines.length > 0 ? `${lines.at(-1)} ${word}` : word;
    if (fits(joined)) {
      lines.splice(-1, 1, joined);
      continue;
    }
    let rest = word;
    while (!fits(rest)) {
      let n = Math.max(1, rest.length - 1);
      while (n > 1 && !fits(rest.slice(0, n))) n -= 1;
      lines.push(rest.slice(0, n));
      rest = rest.slice(n);
    }
    lines.push(rest);
  }
  return lines;
}

/** The name of the drink over the sheet's width: in one line as large as it can be, or in two small ones. */
function titleText(title: string, measure: TextMeasure): string {
  const most = SHEET.width - 2 * MARGIN;
  const px = [42, 36, 30, 26].find((size) => measure(title, { px: size, bold: true }) <= most);
  if (px) return textAt(MARGIN, MARGIN + 30, px, title, BOLD);
  const [first = "", ...more] = wrapped(title, most, { px: 24, bold: true }, measure);
  const second = more.length > 1 ? `${more[0]}…` : (more[0] ?? "");
  return [textAt(MARGIN, MARGIN + 6, 24, first, BOLD), textAt(MARGIN, MARGIN + 34, 24, second, BOLD)].join(
    "\n",
  );
}

const BOLD = `font-weight="600"`;

const textAt = (x: number, y: number, size: number, content: string, more = "") =>
  `<text x="${x}" y="${y}" font-size="${size}" ${more}>${escaped(content)}</text>`;

/** The spec as a recipe, how it is made, and its facts, in a column of this width. */
function column(
  words: SheetWords,
  width: number,
  soft: string,
  measure: TextMeasure,
): { height: number; marks: string } {
  const marks: string[] = [];
  const amountStyle = { px: 19, bold: true };
  const indent = Math.max(92, ...words.lines.map(({ amount }) => measure(amount, amountStyle) + 14));
  let y = 20;
  for (const { amount, name } of words.lines) {
    const parts = wrapped(name, width - indent, { px: 19 }, measure);
    marks.push(textAt(0, y, 19, amount, BOLD));
    parts.forEach((part, i) => {
      marks.push(textAt(indent, y + 23 * i, 19, part));
    });
    y += 23 * parts.length + 9;
  }
  y += 10;
  const softly = (text: string, px: number, step: number) => {
    for (const part of wrapped(text, width, { px }, measure)) {
      marks.push(textAt(0, y, px, part, `fill="${soft}"`));
      y += step;
    }
  };
  softly(words.making, 16, 21);
  y += 14;
  for (const fact of words.facts) softly(fact, 15, 20);
  return { height: y, marks: marks.join("\n") };
}

/** The column drawn so small that all of it is on the sheet; a usual drink's is drawn at its full size. */
function fittedColumn(words: SheetWords, soft: string, measure: TextMeasure): string {
  const [left, top] = [SHEET.width - MARGIN - SIDE, MARGIN + 92];
  const room = SHEET.height - MARGIN - top;
  let scale = 1;
  let drawn = column(words, SIDE, soft, measure);
  while (drawn.height * scale > room) {
    scale *= 0.94;
    drawn = column(words, SIDE / scale, soft, measure);
  }
  return `<g transform="translate(${left},${top}) scale(${scale.toFixed(4)})">${drawn.marks}</g>`;
}

/** Reads a colour of the page, by day or by night, as one that needs no stylesheet. */
const inkOf = (host: HTMLElement) => (name: string) => {
  const pen = document.createElement("i");
  pen.style.color = `var(--${name})`;
  host.append(pen);
  const { color } = getComputedStyle(pen);
  pen.remove();
  return color;
};

/** The sheet to hang: title, verdict and map, the spec set as a recipe at the side, day, region and source line. */
export async function sheetSvg(model: MapModel, words: SheetWords): Promise<string> {
  const colour = inkOf(document.body);
  const [ink, soft] = [colour("ink"), colour("ink-soft")];
  const mapWidth = SHEET.width - 2 * MARGIN - SIDE - 30;
  const mapHeight = SHEET.height - 2 * MARGIN - 118;
  const map = mapMarkup(model, mapWidth, mapHeight, 14).replace(
    /^<svg/,
    `<svg x="${MARGIN}" y="${MARGIN + 92}"`,
  );
  const family = getComputedStyle(document.body).fontFamily;
  const measure = createTextMeasure(() => family);
  const verdict = words.inside ? colour("target") : colour("accent");
  return `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${SHEET.width} ${SHEET.height}" width="297mm" height="210mm" font-family="Sheet, sans-serif" fill="${ink}" role="img">
<title>${escaped(`${words.title}: ${words.headline}`)}</title>
<style>${await faceRules()}</style>
<rect width="100%" height="100%" fill="${colour("plate")}"/>
${titleText(words.title, measure)}
${textAt(MARGIN, MARGIN + 64, 24, words.headline, `${BOLD} fill="${verdict}"`)}
${textAt(SHEET.width - MARGIN - SIDE, MARGIN + 64, 16, words.region, `fill="${soft}"`)}
<path d="M${MARGIN},${MARGIN + 80}H${SHEET.width - MARGIN}" stroke="${colour("edge")}" fill="none"/>
${map}
${fittedColumn(words, soft, measure)}
${textAt(MARGIN, SHEET.height - MARGIN + 8, 13, words.source, `fill="${soft}"`)}
</svg>
`;
}

/** The sheet as pixels, `scale` of them to the sheet's unit. */
export async function sheetPng(svg: string, scale = 2.5): Promise<Blob> {
  const url = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = SHEET.width * scale;
    canvas.height = SHEET.height * scale;
    canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
    return await new Promise((resolve, reject) =>
      canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("no picture was made"))), "image/png"),
    );
  } finally {
    URL.revokeObjectURL(url);
  }
}
