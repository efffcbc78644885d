import { calibrateMelt, meltOverTime } from "../../engine/dilution/melt.ts";
import { under } from "../../engine/errors.ts";
import { meltLinesOf } from "../../engine/place/melt-lines.ts";
import { cautionsOf } from "../answer/cautions-of.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint } from "../endpoint.ts";
import { withOwnIngredients } from "../read/own-ingredients.ts";
import { readSettings, unitSettingsOf } from "../read/settings.ts";
import { readSpec } from "../read/spec.ts";
import { MeltAnswerSchema, MeltBodySchema } from "../schemas/melt.ts";

const route = {
  method: "post",
  path: "/v1/melt",
  operationId: "meltOverTime",
  tags: ["Preps"],
  isLean: true,
  summary: "Temperature, melt water and the point against time: on the ice, and standing in the glass",
  description:
    "A model of our own with wide doubts, compared with every published experiment found. One weighed drink fits it to your ice and your hand.",
  body: MeltBodySchema,
  example: {
    spec: { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" },
    seconds: 12,
    served: { on: "rock", seconds: 600 },
  },
  answers: { 200: { description: "The drink moment by moment", schema: MeltAnswerSchema } },
  problems: ["unread-lines"],
} as const;

/** Leave out what was not given: the engine's optional fields are absent, never undefined. */
function given<T extends object>(fields: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: Exclude<T[K], undefined>;
  };
}

export function meltRoutes({ catalogue }: ApiContext): Endpoint[] {
  return [
    endpoint(route, ({ body }) => {
      const own = withOwnIngredients(catalogue.pantry, body.ingredients);
      const read = readSpec(body.spec, own.pantry, readSettings(body, catalogue), "/spec");
      const { seconds, iceSideMm, roomTempC, conditions, exchangeFactor, served, weighedWaterMl } = body;
      const lines = under("/spec", () =>
        meltLinesOf(read.spec, read.pantry, { unitSettings: unitSettingsOf(body) }),
      );
      const { method } = read.spec;
      const asked = {
        lines,
        method,
        ...given({ seconds, iceSideMm, roomTempC, conditions, exchangeFactor }),
        ...(served && { served: { on: served.on, seconds: served.seconds, ...given(served) } }),
      };
      const fit = weighedWaterMl === undefined ? null : calibrateMelt(asked, weighedWaterMl);
      const { path: points, ...track } = meltOverTime(
        fit === null
          ? asked
          : {
              ...asked,
              conditions: { ...conditions, adherentWaterShare: fit.adherentWaterShare },
              exchangeFactor: fit.exchangeFactor,
            },
      );
      return {
        spec: read.spec,
        reading: read.reading,
        made: read.made,
        assumptions: [...own.assumptions, ...read.assumptions],
        track: { ...track, points },
        ...(fit && { calibration: fit }),
        cautions: cautionsOf([read.spec], read.pantry, body, catalogue),
        provenance: catalogue.provenance,
      };
    }),
  ];
}
