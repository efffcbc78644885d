import createClient from "openapi-fetch";
import type { components, paths } from "./steelyard.js";

/*
 * A stranger's program against the published document. It is compiled in a folder of its own, with types made
 * from the document alone, and run against a live server; nothing of the server is imported.
 */

const base = process.env.STEELYARD_URL;
if (base === undefined) throw new Error("set STEELYARD_URL");
// Some routes also speak a line each; this client does not.
const client = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: base });

type Body<T> = { data?: T; error?: components["schemas"]["Problem"] };

function must<T>({ data, error }: Body<T>): T {
  if (data === undefined) throw new Error(error ? `${error.title}: ${error.detail}` : "no answer");
  return data;
}

const spec = {
  text: "2 oz aged rum\n1/4 oz lime juice\n3/4 oz simple syrup (1:1)",
  method: "shaken",
} satisfies components["schemas"]["SpecText"];
const target = { id: "family:sour" };

const asked = must(
  await client.POST("/v1/ask", { body: { question: "how much lemon for sour range", spec } }),
);
const { answer } = asked;
// @ts-expect-error An answer may have no drink after it: null must be looked for first.
const unguarded: number = answer.after.acidGPer100Ml;
void unguarded;
const after = answer.after;
if (after === null) throw new Error("the question has an answer, and it has a drink");
const lemonMl: number | undefined = answer.range?.leastMl;

const placed = must(await client.POST("/v1/place", { body: { spec } }));
const [sugar, acid, abv] = placed.placement.covariance.map((row, i) => Math.sqrt(row[i] ?? Number.NaN));
// @ts-expect-error A vector has three numbers and no fourth.
const fourth = placed.placement.covariance[0][3];
void fourth;

const solved = must(await client.POST("/v1/solve", { body: { spec, target } }));
const least = solved.result.proposals[0];
if (least === undefined) throw new Error("the solve has a proposal");

const explored = must(await client.POST("/v1/explore", { body: { spec, target, minProbability: 0.6 } }));

// A spec from an answer can be sent back as it is.
const trail = must(
  await client.POST("/v1/trail", {
    body: {
      rounds: [
        { id: "r1", spec: placed.spec },
        { id: "r2", spec: least.spec },
      ],
    },
  }),
);

const targets = must(await client.GET("/v1/targets", { params: { query: { coverage: 0.8 } } }));
const sour = targets.targets.find((entry) => entry.id === target.id);
const middle: readonly [number, number, number] | null | undefined = sour?.mean;

// A union is told apart by its field.
let kind = "none";
if (solved.target.kind === "ellipsoid") kind = `ellipsoid of radius ${solved.target.radius.toFixed(1)}`;
else if (solved.target.kind === "intersection") kind = `${solved.target.parts.length} parts`;

const refused = await client.POST("/v1/place", {
  body: { spec: { text: "2 oz nothing known", method: "shaken" } },
});

console.log(
  JSON.stringify({
    text: answer.text,
    after,
    lemonMl,
    sd: [sugar, acid, abv],
    status: solved.result.status,
    moves: least.moves.map((move) => move.text),
    chances: explored.proposals.map((proposal) => proposal.probabilityInside),
    steps: trail.trail.steps.map((step) => step.vector.length),
    middle,
    kind,
    refused: refused.error?.errors.map((entry) => entry.pointer),
  }),
);
