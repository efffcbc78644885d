import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, Vec3 } from "../../../engine/types.ts";
import type { MapModel } from "../../../viz/map/model.ts";

const covariance: Mat3 = [
  [0.25, 0.01, 0.2],
  [0.01, 0.0016, 0.005],
  [0.2, 0.005, 0.49],
];

function round(number: number, parent: number | null, point: Vec3, abandoned = false, current = false) {
  const id = String(number);
  return {
    id,
    number,
    label: `try ${id}`,
    point,
    covariance,
    parent: parent === null ? null : String(parent),
    abandoned,
    current,
  };
}

/** An invented bench: five rounds with a fork, an edited spec, two proposals, three references, a box target. */
export const model: MapModel = {
  rounds: [
    round(1, null, [7, 0.3, 12]),
    round(2, 1, [8, 0.4, 13]),
    round(3, 2, [9, 0.5, 19], true),
    round(4, 2, [10, 0.45, 14]),
    round(5, 4, [9.5, 0.5, 14], false, true),
  ],
  references: [
    { id: "a", name: "First sour", families: ["sour"], point: [6, 0.7, 17] },
    { id: "b", name: "Second sour", families: ["sour"], point: [9, 0.72, 18] },
    { id: "c", name: "Third sour", families: ["fizz"], point: [6.1, 1.1, 16] },
  ],
  target: compileTarget({
    kind: "box",
    name: "own box",
    sugarGPer100Ml: [6, 9],
    acidGPer100Ml: [0.6, 0.9],
    abvPercent: [15, 20],
  }),
  others: [],
  families: ["sour"],
  familyNames: [
    { id: "sour", name: "Sour" },
    { id: "fizz", name: "Fizz" },
  ],
  targetName: "own box",
  shownGhost: "x",
  beside: "b",
  peeked: null,
  pull: null,
  wish: null,
  ghosts: ["x", "y"].map((id, i) => ({
    id,
    name: `proposal ${id}`,
    point: [8, 0.6 + i / 10, 15],
    path: [
      {
        ingredient: "juice-lime",
        label: "lime juice",
        points: [
          [9.5, 0.5, 14],
          [8, 0.6 + i / 10, 15],
        ],
        rungs: [],
      },
    ],
  })),
  live: { point: [9.4, 0.52, 14], covariance, edited: true },
};
