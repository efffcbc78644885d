import type { MapModel } from "../map/model.ts";
import { faceRules, mapMarkup, type SheetWords } from "./sheet.ts";

/** One round as the page of a trail tells it. */
export interface TrailRow {
  number: number;
  label: string;
  changed: string;
  numbers: string;
  found: string;
}

const escaped = (text: string) =>
  text.replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c] ?? c);

/** The trail as one page that needs nothing else: it can be sent, kept and printed. */
export async function trailPage(
  model: MapModel,
  words: SheetWords,
  rows: readonly TrailRow[],
): Promise<string> {
  const map = mapMarkup(model, 900, 640, 14);
  const lines = words.lines
    .map(({ amount, name }) => `<tr><th>${escaped(amount)}</th><td>${escaped(name)}</td></tr>`)
    .join("");
  const rounds = rows
    .map(
      (row) =>
        `<li><h3>${row.number} ${escaped(row.label)}</h3><p>${escaped(row.changed)}</p><p>${escaped(row.numbers)}</p>${row.found ? `<p><em>${escaped(row.found)}</em></p>` : ""}</li>`,
    )
    .join("");
  return `<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">
<title>${escaped(words.title)}</title>
<style>${await faceRules()}
body{max-width:960px;margin:24px auto;padding:0 16px;font:16px/1.45 Sheet,sans-serif;color:#14211e;background:#fff}
h1{margin:0;font-size:34px}.verdict{font-size:21px;font-weight:600}svg{max-width:100%;height:auto}
th{padding-right:14px;text-align:left}ol{padding:0;list-style:none}li{border-top:1px solid #ccc;padding:8px 0}h3,p{margin:0 0 4px}small{color:#4d5b57}
</style>
<h1>${escaped(words.title)}</h1>
<p class="verdict">${escaped(words.headline)}</p><p>${escaped(words.detail)}</p>
<table>${lines}</table><p>${escaped(words.making)}</p>
${map}
<ol>${rounds}</ol>
<p><small>${words.facts.map(escaped).join(" · ")}<br>${escaped(words.source)}</small></p>
</html>
`;
}
