import { useState } from "preact/hooks";
import type { PrepMeasurement } from "../../engine/prep/types.ts";
import { NumberField } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";

type Kind = PrepMeasurement["kind"];

interface Box {
  key: string;
  label: string;
  /** What stands there when nothing is typed; without it the box must be filled. */
  usual?: number;
  optional?: true;
}

interface Instrument {
  kind: Kind;
  name: string;
  /** What to do, and what it cannot see. */
  how: string;
  boxes: readonly Box[];
}

const TEMP = { key: "sampleTempC", label: "Sample, °C" } as const;

/** The instruments of a bar, each with what has to be read from it. */
const INSTRUMENTS: readonly Instrument[] = [
  {
    kind: "refractometer",
    name: "Refractometer",
    how: "Alcohol and acid bend light too: the strength and acid known so far are taken off. Leave the temperature out if it corrects by itself.",
    boxes: [
      { key: "readingBrix", label: "Shows, °Bx" },
      { ...TEMP, optional: true },
    ],
  },
  {
    kind: "hydrometer",
    name: "Hydrometer",
    how: "Against water at the temperature on its stem. With a refractometer's reading as well, strength and sugar are found together.",
    boxes: [
      { key: "specificGravity", label: "Shows" },
      { ...TEMP, usual: 20 },
      { key: "referenceTempC", label: "Stem says, °C", usual: 20 },
    ],
  },
  {
    kind: "titration",
    name: "Titration",
    how: "Sodium hydroxide to pH 8.2, or to the first pink of phenolphthalein that stays. It burns: gloves and goggles.",
    boxes: [
      { key: "titreMl", label: "Used, mL" },
      { key: "normality", label: "Normality, mol/L", usual: 0.1 },
      { key: "sampleMl", label: "Sample, mL", usual: 10 },
    ],
  },
  {
    kind: "ph",
    name: "pH meter",
    how: "For keeping and for the label; sourness is the acid.",
    boxes: [{ key: "ph", label: "Shows" }],
  },
  {
    kind: "label-strength",
    name: "Label",
    how: "The strength printed; makers may be 0.3 % vol off.",
    boxes: [{ key: "abvPercent", label: "% vol" }],
  },
  {
    kind: "distilled-density",
    name: "Distillate",
    how: "Density of what was distilled off, made up to the sample's volume.",
    boxes: [
      { key: "densityGPerMl", label: "g/mL" },
      { ...TEMP, usual: 20 },
    ],
  },
  {
    kind: "weighed-volume",
    name: "Weighed volume",
    how: "A full measuring flask on the scale, at room temperature.",
    boxes: [
      { key: "massG", label: "Weight, g" },
      { key: "volumeMl", label: "Volume, mL" },
    ],
  },
];

/** Behind most bars; the others are folded away. */
const COMMON: ReadonlySet<Kind> = new Set(["refractometer", "titration"]);

/** What the form holds: by instrument, the boxes filled. */
type Filled = Partial<Record<Kind, Record<string, number>>>;

/** Fields of the records, back in the boxes. */
export function filledOf(measured: readonly PrepMeasurement[]): Filled {
  return Object.fromEntries(
    measured.map(({ kind, ...rest }) => [kind, rest as unknown as Record<string, number>]),
  ) as Filled;
}

/** The records that the boxes make; an instrument that is not filled makes none. */
function measurementsOf(filled: Filled): PrepMeasurement[] {
  return INSTRUMENTS.flatMap(({ kind, boxes }): PrepMeasurement[] => {
    const typed = filled[kind] ?? {};
    const needed = boxes.filter((box) => box.usual === undefined && !box.optional);
    if (needed.some(({ key }) => typed[key] === undefined)) return [];
    const usual = Object.fromEntries(
      boxes.flatMap(({ key, usual: x }) => (x === undefined ? [] : [[key, x]])),
    );
    return [{ kind, ...usual, ...typed } as unknown as PrepMeasurement];
  });
}

/** What the instruments show, to be typed in. */
export function Readings({
  measured,
  onMeasure,
}: {
  measured: readonly PrepMeasurement[];
  onMeasure: (measured: PrepMeasurement[]) => void;
}) {
  const [filled, setFilled] = useState<Filled>(() => filledOf(measured));
  const isRare = ({ kind }: Instrument) => !COMMON.has(kind);
  const shown = (instruments: readonly Instrument[]) => (
    <div class="readings">
      {instruments.map(({ kind, name, how, boxes }) => (
        <fieldset key={kind} class="reading" data-kind={kind}>
          <legend>{name}</legend>
          <div class="fields">
            {boxes.map(({ key, label, usual }) => (
              <NumberField
                label={label}
                key={key}
                aria-label={`${name}: ${label}`}
                placeholder={usual === undefined ? "" : String(usual)}
                value={filled[kind]?.[key] ?? null}
                onCommit={(x) => {
                  const { [key]: _, ...rest } = filled[kind] ?? {};
                  const next = { ...filled, [kind]: x === null ? rest : { ...rest, [key]: x } };
                  setFilled(next);
                  onMeasure(measurementsOf(next));
                }}
              />
            ))}
          </div>
          <p class="hint">{how}</p>
        </fieldset>
      ))}
    </div>
  );
  return (
    <>
      {shown(INSTRUMENTS.filter((i) => !isRare(i)))}
      <Fold
        summary="Other instruments"
        open={measured.some(({ kind }) => !COMMON.has(kind))}
        class="quiet-fold"
      >
        {() => shown(INSTRUMENTS.filter(isRare))}
      </Fold>
    </>
  );
}
