import { select } from "d3";
import { createCamera } from "../map/camera.ts";
import { drinkAtHand, itemsOf } from "../map/items.ts";
import { noLabels } from "../map/label-rest.ts";
import { layoutFor } from "../map/layout.ts";
import type { LayerName, MapModel } from "../map/model.ts";
import { createPicture } from "../map/picture.ts";
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

function wrapped(text: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + word.length < most) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
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
  const left = SHEET.width - MARGIN - SIDE;
  const text = (x: number, y: number, size: number, content: string, more = "") =>
    `<text x="${x}" y="${y}" font-size="${size}" ${more}>${escaped(content)}</text>`;
  let y = MARGIN + 112;
  const side: string[] = [];
  for (const { amount, name } of words.lines) {
    const parts = wrapped(name, 26);
    side.push(text(left, y, 19, amount, `font-weight="600"`));
    parts.forEach((part, i) => {
      side.push(text(left + 92, y + 23 * i, 19, part));
    });
    y += 23 * parts.length + 9;
  }
  y += 10;
  for (const part of wrapped(words.making, 38)) {
    side.push(text(left, y, 16, part, `fill="${soft}"`));
    y += 21;
  }
  y += 14;
  for (const fact of words.facts.flatMap((entry) => wrapped(entry, 40))) {
    side.push(text(left, y, 15, fact, `fill="${soft}"`));
    y += 20;
  }
  const verdict = words.inside ? colour("target") : colour("accent");
  return `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${SHEET.width} ${SHEET.height}" width="297mm" height="210mm" font-family="Sheet, sans-serif" fill="${ink}" role="img">
<title>${escaped(`${words.title}: ${words.headline}`)}</title>
<style>${await faceRules()}</style>
<rect width="100%" height="100%" fill="${colour("plate")}"/>
${text(MARGIN, MARGIN + 30, 42, words.title, `font-weight="600"`)}
${text(MARGIN, MARGIN + 64, 24, words.headline, `font-weight="600" fill="${verdict}"`)}
${text(left, MARGIN + 64, 16, words.region, `fill="${soft}"`)}
<path d="M${MARGIN},${MARGIN + 80}H${SHEET.width - MARGIN}" stroke="${colour("edge")}" fill="none"/>
${map}
${side.join("\n")}
${text(MARGIN, SHEET.height - MARGIN + 8, 13, words.source, `fill="${soft}"`)}
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
