import "../parts/stacked.css";
import { useState } from "preact/hooks";
import { calibrateMelt, type MeltRequest, meltOverTime } from "../../engine/dilution/melt.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import { WATER_G_PER_ML } from "../../engine/physics/ethanol-water.ts";
import { meltLinesOf } from "../../engine/place/melt-lines.ts";
import type { Method, ServingIce } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { ChoiceField, NumberField } from "../parts/field.tsx";
import { pointWords } from "../words/axis.ts";
import { drawMelt } from "./draw-melt.ts";
import { Problem, useAttempt } from "./figures.tsx";
import { Picture } from "./picture.tsx";
import { ICE_NOTE } from "./words.ts";

const HEIGHT = 420;
const SERVED: readonly { value: ServingIce; label: string }[] = [
  { value: "none", label: "no ice" },
  { value: "cubes", label: "cubes" },
  { value: "rock", label: "a rock" },
  { value: "crushed", label: "crushed ice" },
];

/** Wet and dry ice as a share of its mass that is water on it (estimates). */
const WETNESS = { usual: null, dry: 0, wet: 0.08 } as const;
type Wetness = keyof typeof WETNESS;
const WET_OR_DRY: readonly { value: Wetness; label: string }[] = [
  { value: "usual", label: "as usual" },
  { value: "dry", label: "dry, from the freezer" },
  { value: "wet", label: "wet, from a bin" },
];

/** Vessels as mass and heat (estimates): steel 0.5 J/(g·K), glass 0.8 J/(g·K). */
const VESSELS = {
  usual: null,
  "tin-on-tin": { vesselMassG: 350, vesselHeatCapacityJPerGK: 0.5 },
  glass: { vesselMassG: 500, vesselHeatCapacityJPerGK: 0.8 },
} as const;
type Vessel = keyof typeof VESSELS;
const VESSEL_NAMES: readonly { value: Vessel; label: string }[] = [
  { value: "usual", label: "as usual" },
  { value: "tin-on-tin", label: "tin on tin" },
  { value: "glass", label: "mixing glass" },
];

const OPTIONAL = [
  { key: "seconds", label: "Seconds on the ice", usual: "as usual" },
  { key: "iceMm", label: "Ice edge, mm", usual: "as usual" },
  { key: "roomTempC", label: "Room, °C", usual: "21" },
] as const;

/** What is said of the ice and the time; null is what is usual. */
interface Melting {
  seconds: number | null;
  iceMm: number | null;
  roomTempC: number | null;
  wetness: Wetness;
  vessel: Vessel;
  served: ServingIce;
  minutes: number;
  /** What one drink weighed when the mixing ended, g. */
  weighedG: number | null;
}

function requestOf(melting: Melting, lines: MeltRequest["lines"], method: Method): MeltRequest {
  const { wetness, vessel, seconds, iceMm, roomTempC, minutes, served } = melting;
  return {
    lines,
    method,
    conditions: {
      ...(WETNESS[wetness] !== null && { adherentWaterShare: WETNESS[wetness] }),
      ...(VESSELS[vessel] ?? {}),
    },
    ...(seconds !== null && { seconds }),
    ...(iceMm !== null && { iceSideMm: iceMm }),
    ...(roomTempC !== null && { roomTempC }),
    ...(minutes > 0 && { served: { on: served, seconds: 60 * minutes } }),
  };
}

/** The melting over time, fitted to the weight when there is one. */
function melted(asked: MeltRequest, weighedG: number | null, pouredG: number) {
  if (weighedG === null) return { track: meltOverTime(asked), fit: null, pouredG };
  const fit = calibrateMelt(asked, (weighedG - pouredG) / WATER_G_PER_ML);
  const { adherentWaterShare, exchangeFactor } = fit;
  const conditions = { ...asked.conditions, adherentWaterShare };
  return { track: meltOverTime({ ...asked, conditions, exchangeFactor }), fit, pouredG };
}

/** The drink on the bench while its ice melts: temperature, water and the point against time. */
export function IcePage() {
  const store = useStore();
  const placing = store.placing.value;
  const spec = store.spec.value;
  const pantry = store.pantry.value;
  const placed = store.placement.value;
  const [melting, setMelting] = useState<Melting>({
    seconds: null,
    iceMm: null,
    roomTempC: null,
    wetness: "usual",
    vessel: "usual",
    served: spec.servedOn ?? "rock",
    minutes: 10,
    weighedG: null,
  });
  const { value: found, problem } = useAttempt(() => {
    const pouredG = placed ? placed.lines.reduce((s, l) => s + l.massG, 0) : 0;
    const asked = requestOf(melting, meltLinesOf(spec, pantry, placing), spec.method);
    return melted(asked, melting.weighedG, pouredG);
  }, [spec, pantry, placing, melting, placed]);
  const put = (change: Partial<Melting>) => setMelting({ ...melting, ...change });
  return (
    <div class="maker">
      <div class="maker-asks">
        <h2>Ice and time</h2>
        <p>
          {spec.name}, {METHODS[spec.method].name.toLowerCase()}: the drink on the bench.
        </p>
        <Asks melting={melting} put={put} />
        <h3>Fit it to your hand</h3>
        <div class="fields">
          <p class="hint">
            Weigh one drink when the mixing ends, strained
            {found ? `; what you poured weighs ${found.pouredG.toFixed(0)} g` : ""}.
          </p>
          <NumberField
            label="It weighs, g"
            least={0}
            placeholder="not weighed"
            value={melting.weighedG}
            onCommit={(weighedG) => put({ weighedG })}
          />
        </div>
        <Problem text={problem} />
        {found?.fit && (
          <p class="said" id="melt-fit">
            Your ice was {(100 * found.fit.adherentWaterShare).toFixed(1)} % water on its surface, and heat
            went over {found.fit.exchangeFactor.toFixed(2)} times as fast as usual.
          </p>
        )}
      </div>
      {found && <Tells track={found.track} />}
    </div>
  );
}

function Asks({ melting, put }: { melting: Melting; put: (change: Partial<Melting>) => void }) {
  return (
    <div class="fields">
      {OPTIONAL.map(({ key, label, usual }) => (
        <NumberField
          key={key}
          label={label}
          placeholder={usual}
          value={melting[key]}
          onCommit={(x) => put({ [key]: x })}
        />
      ))}
      <ChoiceField
        label="Ice is"
        value={melting.wetness}
        options={WET_OR_DRY}
        onChoose={(wetness) => put({ wetness })}
      />
      <ChoiceField
        label="Vessel"
        value={melting.vessel}
        options={VESSEL_NAMES}
        onChoose={(vessel) => put({ vessel })}
      />
      <ChoiceField
        label="Served on"
        value={melting.served}
        options={SERVED}
        onChoose={(served) => put({ served })}
      />
      <NumberField
        label="Minutes in the glass"
        least={0}
        value={melting.minutes}
        onCommit={(minutes) => minutes !== null && put({ minutes })}
      />
    </div>
  );
}

function Tells({ track }: { track: Track }) {
  const store = useStore();
  const spec = store.spec.value;
  const mixed = endOfMixing(track);
  const reckon = () => {
    const waterMl = Math.round(10 * mixed.waterMl) / 10;
    store.edit({ spec: { ...spec, dilution: { model: "measured", waterMl } } });
    store.tell(`${spec.name} now reckons with ${mixed.waterMl.toFixed(0)} mL of melt water.`, {
      action: { label: "Undo", act: store.undo },
    });
  };
  return (
    <div class="maker-tells">
      <MeltPlot found={track} />
      <p class="said">
        When the mixing ends: {degrees(mixed.tempC)} ± {mixed.tempSdC.toFixed(1)} °C with{" "}
        {mixed.waterMl.toFixed(0)} mL of melt water, {pointWords(mixed.point)}. At the last:{" "}
        {pointWords(track.path.at(-1)!)}.
      </p>
      <div class="buttons">
        <button type="button" onClick={reckon}>
          Reckon the drink with this water
        </button>
      </div>
      <p class="hint">{ICE_NOTE}</p>
    </div>
  );
}

type Track = ReturnType<typeof meltOverTime>;

/** "−6.2". */
const degrees = (c: number) => c.toFixed(1).replace("-", "−");

/** The moment the mixing ends. */
function endOfMixing(track: Track) {
  const { toS } = track.phases[0]!;
  const i = track.timeS.indexOf(toS) >= 0 ? track.timeS.indexOf(toS) : track.timeS.length - 1;
  return {
    tempC: track.tempC[i]!,
    tempSdC: track.tempSdC[i]!,
    waterMl: track.waterMl[i]!,
    point: track.path[i]!,
  };
}

/** 40 → "40 s", 313 → "5 min 13 s". */
const timeWords = (s: number) => (s < 120 ? `${s} s` : `${Math.floor(s / 60)} min ${s % 60} s`);

function MeltPlot({ found }: { found: Track }) {
  const shown = [0, ...found.phases.flatMap(({ fromS, toS }) => [(fromS + toS) / 2, toS])];
  const rows = shown.map((t) => found.timeS.findIndex((s) => s >= t - 1e-9)).filter((i) => i >= 0);
  return (
    <figure class="shift">
      <Picture
        label="Temperature and melt water against time"
        height={HEIGHT}
        draw={(svg, width, height) => drawMelt(svg, found, width, height)}
        rests={found}
      />
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard. */}
      <section class="scroll" tabIndex={0} aria-label="The same in numbers">
        <table class="stacked">
          <thead>
            <tr>
              {["Time", "°C", "Water, mL", "Ice left, g", "Sugar · acid · alcohol"].map((head) => (
                <th scope="col" key={head}>
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map((i) => (
              <tr key={i}>
                <th scope="row">{timeWords(Math.round(found.timeS[i]!))}</th>
                <td data-head="°C">
                  {degrees(found.tempC[i]!)} ± {found.tempSdC[i]!.toFixed(1)}
                </td>
                <td data-head="water, mL">{found.waterMl[i]!.toFixed(0)}</td>
                <td data-head="ice left, g">{found.iceLeftG[i]!.toFixed(0)}</td>
                <td class="wide">{pointWords(found.path[i]!)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </figure>
  );
}
