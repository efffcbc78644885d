import type { ReadonlySignal } from "@preact/signals";
import { useState } from "preact/hooks";
import { toVec } from "../../engine/axes.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import { measuresOf } from "../bench/measures.ts";
import { useStore } from "../house.ts";
import type { MapModel } from "../map/model.ts";
import { Menu } from "../parts/menu.tsx";
import { fileName, saveFile } from "../parts/save-file.ts";
import type { Store } from "../state/store.ts";
import { changeWords, lineWords, volumeWords } from "../words/amounts.ts";
import { pointWords } from "../words/axis.ts";
import type { SheetWords } from "./sheet.ts";
import type { TrailRow } from "./trail-page.ts";
import { dayWords, SOURCE_LINE } from "./words.ts";

/** The drink as a sheet tells it. */
function sheetWords(store: Store): SheetWords {
  const spec = store.spec.value;
  const placement = store.placement.value;
  const verdict = store.verdict.value;
  const measures = measuresOf(store);
  const pantry = store.pantry.value;
  const glass = store.data.glasses.find((candidate) => candidate.id === spec.glass);
  return {
    title: spec.name,
    headline: verdict?.headline ?? "No range chosen.",
    inside: verdict?.inside ?? false,
    detail: verdict?.detail ?? "",
    lines: spec.lines.map((line) => ({
      amount: lineWords(line, pantry.get(line.ingredient), measures),
      name: pantry.get(line.ingredient)?.name ?? line.ingredient,
    })),
    making: `${METHODS[spec.method].name}${glass ? `, in a ${glass.name.toLowerCase()}` : ""}.`,
    region: store.target.value ? `Weighed against ${store.target.value.label}` : "",
    facts: [
      ...(placement
        ? [
            pointWords(toVec(placement.point)),
            `${volumeWords(placement.finishedVolumeMl, measures.units)} in the glass, ${placement.standardDrinks.us.toFixed(1)} US standard drinks`,
          ]
        : []),
      ...(store.bench.value?.invented ? ["Invented for demonstration"] : []),
      dayWords(new Date()),
    ],
    source: SOURCE_LINE,
  };
}

function trailRows(store: Store): TrailRow[] {
  const steps = store.trail.value.value?.steps ?? [];
  const measures = measuresOf(store);
  return store.rounds.value.map(({ round, placement }) => {
    const step = steps.find((candidate) => candidate.to === round.id);
    const faults = round.faults?.length ? `Found ${round.faults.join(", ")}. ` : "";
    return {
      number: round.number,
      label: round.label,
      changed:
        step?.changes.map((change) => changeWords(change, store.pantry.value, measures)).join("; ") ?? "",
      numbers: placement ? pointWords(toVec(placement.point)) : "",
      found: `${faults}${round.notes ?? ""}`,
    };
  });
}

/** Save the map as a sheet to hang, as a drawing or as pixels, or the trail as a page to send. */
export function SaveMenu({ model }: { model: ReadonlySignal<MapModel> }) {
  const store = useStore();
  const [busy, setBusy] = useState(false);
  const save = async (make: () => Promise<{ name: string; content: Blob }>) => {
    setBusy(true);
    try {
      const { name, content } = await make();
      saveFile(name, content);
    } catch (error) {
      store.tell(`The picture was not made. ${error instanceof Error ? error.message : ""}`, {
        tone: "problem",
      });
    } finally {
      setBusy(false);
    }
  };
  const name = (ending: string) => fileName(store.spec.value.name, ending);
  const svg = async () => {
    const { sheetSvg } = await import("./sheet.ts");
    return sheetSvg(model.value, sheetWords(store));
  };
  const ways = [
    {
      label: "A drawing to hang (SVG, A4)",
      make: async () => ({ name: name("svg"), content: new Blob([await svg()], { type: "image/svg+xml" }) }),
    },
    {
      label: "The same as pixels (PNG)",
      make: async () => {
        const { sheetPng } = await import("./sheet.ts");
        return { name: name("png"), content: await sheetPng(await svg()) };
      },
    },
    {
      label: "The trail as a page to send",
      make: async () => {
        const { trailPage } = await import("./trail-page.ts");
        const page = await trailPage(model.value, sheetWords(store), trailRows(store));
        return { name: name("html"), content: new Blob([page], { type: "text/html" }) };
      },
    },
  ];
  return (
    <Menu label="Save the picture" button={busy ? "Drawing…" : "Save the picture"} class="save-menu">
      {(close) => (
        <div class="menu-acts">
          {ways.map(({ label, make }) => (
            <button
              key={label}
              type="button"
              onClick={() => {
                save(make);
                close();
              }}
            >
              {label}
            </button>
          ))}
        </div>
      )}
    </Menu>
  );
}
