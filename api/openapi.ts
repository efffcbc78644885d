import { z } from "zod";
import type { Endpoint } from "./endpoint.ts";
import type { Examples } from "./examples.ts";
import { LINES_TYPE } from "./lines.ts";
import { PROBLEM_MEDIA_TYPE, PROBLEMS, type ProblemSlug } from "./problems/registry.ts";
import { ProblemSchema } from "./schemas/problem.ts";

type Json = Record<string, unknown>;

const REF = "#/components/schemas/";

/** What any request can meet, whatever its route. */
const ANY_PROBLEMS = ["bad-request", "headers-too-large", "internal"] as const satisfies ProblemSlug[];
/** What can go wrong with any JSON body. */
const BODY_PROBLEMS = [
  "malformed-json",
  "request-timeout",
  "too-large",
  "unsupported-media-type",
] as const satisfies ProblemSlug[];

/** Headers of each answer, by name, with what they say. */
const HEADERS: Record<string, string> = {
  "X-Request-Id":
    "The id of this request: yours, if you sent one, else a new one. It is in the server's log.",
  ETag: "Strong validator of these bytes; send it as If-None-Match to be told 304 when nothing changed.",
  "Server-Timing": "How long the request waited for a solver, and how long the solver worked, ms.",
  "Retry-After": "Seconds after which the same request is likely to be let in.",
  "Accept-Encoding": "The encodings a body may have.",
};

/** JSON Schema from zod, as the document needs it: components by reference, each union told apart by its field. */
function jsonSchemas(): Json {
  const { schemas } = z.toJSONSchema(z.globalRegistry, {
    uri: (id) => REF + id,
    io: "input",
    override: ({ zodSchema, jsonSchema }) => {
      // In OpenAPI this says a field is never sent; zod means that it is not written to.
      delete jsonSchema.readOnly;
      if (jsonSchema.maximum === Number.MAX_SAFE_INTEGER) delete jsonSchema.maximum;
      if (jsonSchema.minimum === Number.MIN_SAFE_INTEGER) delete jsonSchema.minimum;
      const { def } = zodSchema._zod;
      if (def.type === "union" && "discriminator" in def) {
        jsonSchema.discriminator = discriminator(def as unknown as z.core.$ZodDiscriminatedUnionDef);
      }
    },
  });
  const described = Object.fromEntries(
    Object.entries(schemas).map(([id, { $schema: _, $id: __, ...schema }]) => [id, schema]),
  );
  sayUnits(described);
  return described;
}

/** What the end of a number's name says, in words; the first that fits. */
const UNITS: readonly (readonly [RegExp, string])[] = [
  [/GPer100Ml$/, "g per 100 mL."],
  [/GPerMl$/, "g per mL."],
  [/JPerGK$/, "J per g and K."],
  [/[aA]bvPercent$/, "% vol at 20 °C."],
  [/Percent$/, "Percent."],
  [/Kcal$/, "kcal."],
  [/Ml$/, "mL at 20 °C."],
  [/Ms$/, "ms."],
  [/C$/, "°C."],
  [/G$/, "g."],
];

/** Whether a schema has a number that nothing says a word about; one with a name of its own speaks for itself. */
function isBare(node: unknown): boolean {
  if (typeof node !== "object" || node === null || "description" in node) return false;
  if (Array.isArray(node)) return node.some(isBare);
  const { type, anyOf, items, prefixItems } = node as Json;
  const types = [type].flat();
  return types.includes("number") || types.includes("integer") || [anyOf, items, prefixItems].some(isBare);
}

/** Give each number whose name ends in its unit that unit in words as well: a caller reads it where it stands. */
function sayUnits(node: unknown): void {
  if (typeof node !== "object" || node === null) return;
  const { properties } = node as { properties?: Record<string, Json> };
  for (const [name, schema] of Object.entries(properties ?? {})) {
    const [, unit] = UNITS.find(([end]) => end.test(name)) ?? [];
    if (unit !== undefined && isBare(schema)) schema.description = unit;
  }
  for (const child of Object.values(node)) sayUnits(child);
}

function discriminator(def: z.core.$ZodDiscriminatedUnionDef): Json {
  const mapping = def.options.flatMap((option) => {
    const { $ref } = use(option);
    const values = option._zod.propValues?.[def.discriminator] ?? [];
    return [...values].map((value) => [String(value), $ref] as const);
  });
  return { propertyName: def.discriminator, mapping: Object.fromEntries(mapping) };
}

/** A schema where it is used: by reference if it has a name, else written out. */
function use(schema: z.core.$ZodType): Json {
  const id = z.globalRegistry.get(schema)?.id;
  if (id === undefined) throw new Error("a schema of the API has no id");
  return { $ref: REF + id };
}

function headers(names: readonly string[], own: Readonly<Record<string, string>> = {}): Json {
  const described = { ...Object.fromEntries(names.map((name) => [name, HEADERS[name]])), ...own };
  return Object.fromEntries(
    Object.entries(described).map(([name, description]) => [
      name,
      { description, schema: { type: "string" } },
    ]),
  );
}

/** The problem answers of a route; those of one status are described together. */
function problemResponses(slugs: readonly ProblemSlug[]): Json {
  const titles = new Map<number, string[]>();
  for (const slug of slugs) {
    const { status, title } = PROBLEMS[slug];
    titles.set(status, [...(titles.get(status) ?? []), title]);
  }
  return Object.fromEntries(
    [...titles].map(([status, said]) => [
      status,
      {
        description: said.join(", or: "),
        headers: headers([
          "X-Request-Id",
          ...(status === 503 ? ["Retry-After"] : []),
          ...(status === 415 ? ["Accept-Encoding"] : []),
        ]),
        content: { [PROBLEM_MEDIA_TYPE]: { schema: use(ProblemSchema) } },
      },
    ]),
  );
}

function parameters(where: "path" | "query", shape: z.core.$ZodObject | undefined, example: Json): Json[] {
  if (!shape) return [];
  const { properties = {}, required = [] } = z.toJSONSchema(shape, { io: "input" });
  return Object.entries(properties).map(([name, schema]) => {
    const { description, ...rest } = schema as Json;
    return {
      name,
      in: where,
      required: required.includes(name),
      ...(description !== undefined && { description }),
      schema: rest,
      ...(example[name] !== undefined && { example: example[name] }),
    };
  });
}

/** A body of many lines of JSON, which JSON Schema cannot describe. */
const lines = (description: string): Json => ({ schema: { type: "string", description } });

function goodResponses({ route, hasTag }: Endpoint, examples: Readonly<Record<string, unknown>> = {}): Json {
  const isSolved = route.problems?.includes("busy");
  const all = Object.entries(route.answers).map(([status, answer]) => [
    status,
    {
      description: answer.description,
      headers: headers(
        ["X-Request-Id", ...(hasTag ? ["ETag"] : []), ...(isSolved ? ["Server-Timing"] : [])],
        answer.headers,
      ),
      ...(answer.schema && {
        content: {
          "application/json": {
            schema: use(answer.schema),
            ...(status in examples && { example: examples[status] }),
          },
          ...(route.inLines && {
            [LINES_TYPE]: lines(
              "One answer a line: {line, answer} or {line, problem}, lines counted from 1.",
            ),
          }),
        },
      }),
    },
  ]);
  const unchanged = {
    description: "You have these bytes already",
    headers: headers(["X-Request-Id", "ETag"]),
  };
  return { ...Object.fromEntries(all), ...(hasTag && { 304: unchanged }) };
}

function operation(endpoint: Endpoint, examples: Examples): Json {
  const { route } = endpoint;
  const { operationId, tags, summary, description, params, query, body, example = {}, at = example } = route;
  const described = [...parameters("path", params, at), ...parameters("query", query, example)];
  const problems: ProblemSlug[] = [
    ...ANY_PROBLEMS,
    // Every route refuses what it does not know: in the query if nowhere else.
    "invalid-request",
    ...(body ? BODY_PROBLEMS : []),
    ...(route.problems ?? []),
  ];
  return {
    operationId,
    tags,
    summary,
    ...(description !== undefined && { description }),
    ...(described.length > 0 && { parameters: described }),
    ...(body && {
      requestBody: {
        required: true,
        content: {
          "application/json": { schema: use(body), example },
          ...(route.inLines && { [LINES_TYPE]: lines("One body a line, each as for application/json.") }),
        },
      },
    }),
    responses: {
      ...goodResponses(endpoint, examples[operationId]),
      ...problemResponses([...new Set(problems)]),
    },
  };
}

/** The names of every component a part of the document leads to. */
function* referred(node: unknown, components: Json, seen = new Set<string>()): Generator<string> {
  if (typeof node !== "object" || node === null) return;
  for (const [key, value] of Object.entries(node)) {
    const id = key === "$ref" ? String(value).slice(REF.length) : null;
    if (id === null) yield* referred(value, components, seen);
    else if (!seen.has(id)) {
      seen.add(id);
      yield id;
      yield* referred(components[id], components, seen);
    }
  }
}

const aboutExamples = (examples: Examples) =>
  Object.keys(examples).length > 0
    ? "Example answers are the server's own, their lists cut short."
    : "Example answers are made by the build, and this server has none.";

/**
 * The OpenAPI 3.1 description of the endpoints, from the very schemas that check their requests.
 *
 * @param examples answers to show; an operation that has none shows none
 */
export function openApiDocument(
  endpoints: readonly Endpoint[],
  version: string,
  examples: Examples = {},
): Json {
  const paths: Record<string, Json> = {};
  for (const endpoint of endpoints) {
    const { path, method } = endpoint.route;
    paths[path] = { ...paths[path], [method]: operation(endpoint, examples) };
  }
  const schemas = jsonSchemas();
  const used = [...new Set(referred(paths, schemas))].sort();
  return {
    openapi: "3.1.1",
    info: {
      title: "Steelyard API",
      version,
      description: `Sugar, acid and alcohol of a finished mixed drink, and the least change that brings it into range. Volumes are mL at 20 °C; sugar and acid are g per 100 mL of finished drink; acid is titratable acidity as anhydrous citric acid. Errors are problem documents (RFC 9457), listed at /problems. ${aboutExamples(examples)} Drinks hold alcohol and allergens: see /v1/cautions; local law, food codes and licensed practice come first.`,
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [{ url: "/" }],
    security: [],
    tags: [
      { name: "Drinks", description: "Place, solve, read and compare specs." },
      {
        name: "Thrift",
        description: "What rounds cost and need, smaller glasses, what was set before whom.",
      },
      { name: "Preps", description: "House-made ingredients, measurements, melt water over time." },
      {
        name: "Benches",
        description: "What is kept: benches, rounds, tastings, house-made things, settings.",
      },
      { name: "Tasting", description: "A taster's own door, by link." },
      { name: "Tables", description: "Blind flights, what a table would like, panel statistics." },
      { name: "Reference data", description: "What the engine works from." },
      { name: "Server", description: "Whether it is up, and what it is." },
    ],
    paths,
    components: { schemas: Object.fromEntries(used.map((id) => [id, schemas[id]])) },
  };
}
