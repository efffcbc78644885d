import { Validator } from "@seriousme/openapi-schema-validator";
import { describe, expect, test, vi } from "vitest";
import { makeExamples } from "../../api/examples.ts";
import { PROBLEMS } from "../../api/problems/registry.ts";
import { Contract } from "./contract.ts";
import { documentOf, testApp } from "./harness.ts";

// Looked at before the schemas are made: the registry itself lets a second schema take the id of a first.
const schemaIds = await vi.hoisted(async () => {
  const { z } = await import("zod");
  const ids: string[] = [];
  const add = z.globalRegistry.add.bind(z.globalRegistry);
  z.globalRegistry.add = (schema, ...[meta]) => {
    if (meta?.id !== undefined) ids.push(meta.id);
    return add(schema, meta);
  };
  return ids;
});

interface Operation {
  operationId?: string;
  summary?: string;
  tags?: string[];
  requestBody?: { required?: boolean };
  responses: Record<
    string,
    { description: string; content?: Record<string, { schema: unknown }>; headers?: object }
  >;
}

const app = testApp();
const document = await (await app.request("/openapi.json")).json();
const operations = Object.entries(document.paths as Record<string, Record<string, Operation>>).flatMap(
  ([path, methods]) => Object.entries(methods).map(([method, op]) => [`${method} ${path}`, op] as const),
);

/** Every object in the document, with where it is. */
function* walk(node: unknown, path = "#"): Generator<[string, Record<string, unknown>]> {
  if (typeof node !== "object" || node === null) return;
  if (!Array.isArray(node)) yield [path, node as Record<string, unknown>];
  for (const [key, value] of Object.entries(node)) yield* walk(value, `${path}/${key}`);
}

test("it is OpenAPI 3.1 with a title, a version and tags that exist", () => {
  expect(document.openapi).toMatch(/^3\.1\./);
  expect(document.info).toMatchObject({ title: "Steelyard API", version: "0.0.0-test" });
  const known = document.tags.map((t: { name: string }) => t.name);
  for (const [name, op] of operations)
    expect(known, name).toEqual(expect.arrayContaining(op.tags ?? ["none"]));
});

test("operation ids are there and unique", () => {
  const ids = operations.map(([, op]) => op.operationId);
  expect(ids).not.toContain(undefined);
  expect(new Set(ids).size).toBe(ids.length);
  expect(ids.length).toBeGreaterThanOrEqual(13);
});

describe.each(operations)("%s", (name, op) => {
  test("has a summary, one JSON success and a problem answer for each way it fails", () => {
    expect(op.summary).toBeTruthy();
    const success = op.responses["200"] ?? op.responses["201"];
    expect(success?.content).toHaveProperty("application/json");
    const failures = Object.entries(op.responses).filter(([status]) => Number(status) >= 400);
    const expected = name.startsWith("post ")
      ? ["400", "408", "413", "415", "422", "500"]
      : ["400", "422", "431", "500"];
    expect(failures.map(([status]) => status)).toEqual(expect.arrayContaining(expected));
    for (const [, response] of failures) {
      expect(response.description).toBeTruthy();
      expect(response.content).toEqual({
        "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } },
      });
      expect(response.headers).toHaveProperty("X-Request-Id");
    }
    if (name.startsWith("post ")) expect(op.requestBody?.required).toBe(true);
  });
});

test("no two schemas share an id", () => {
  expect(schemaIds.length).toBeGreaterThan(150);
  expect(schemaIds.filter((id, i) => schemaIds.indexOf(id) !== i)).toEqual([]);
});

test("every reference leads somewhere, and no component is left over", () => {
  const defined = Object.keys(document.components.schemas).map((k) => `#/components/schemas/${k}`);
  const used = new Set([...walk(document)].flatMap(([, node]) => (node.$ref ? [String(node.$ref)] : [])));
  for (const ref of used) expect(defined).toContain(ref);
  expect([...used].sort()).toEqual(defined.sort());
});

test("nothing is written in the manner of 3.0", () => {
  for (const [path, node] of walk(document)) {
    if (path.includes("/properties/") || path.includes("/example")) continue;
    expect(node, path).not.toHaveProperty("nullable");
    expect(typeof node.exclusiveMinimum, path).not.toBe("boolean");
    expect(typeof node.exclusiveMaximum, path).not.toBe("boolean");
  }
});

test("objects a caller sends are closed", () => {
  const schemas = document.components.schemas;
  const seen = new Set<string>();
  const check = (node: unknown, where: string): void => {
    if (typeof node !== "object" || node === null) return;
    const ref = (node as { $ref?: string }).$ref?.split("/").at(-1);
    if (ref !== undefined) {
      if (!seen.has(ref)) {
        seen.add(ref);
        check(schemas[ref], ref);
      }
      return;
    }
    if ("properties" in node) expect(node, where).toMatchObject({ additionalProperties: false });
    for (const [key, value] of Object.entries(node)) if (key !== "example") check(value, `${where}/${key}`);
  };
  const bodies = new Set(
    new Contract(document).operations.flatMap(({ operation }) => {
      const taken = operation.requestBody?.content["application/json"];
      return taken ? [String(taken.schema.$ref).split("/").at(-1)!] : [];
    }),
  );
  expect(bodies.size).toBeGreaterThan(20);
  for (const body of bodies) check(schemas[body], body);
  expect(seen).toContain("OwnIngredient");
});

test("every example is valid by the document itself", () => {
  const contract = new Contract(document);
  let seen = 0;
  for (const { path, operation } of contract.operations) {
    const taken = operation.requestBody?.content["application/json"];
    if (!taken) continue;
    seen += 1;
    expect(contract.faults(taken.schema, taken.example), path).toBeNull();
  }
  expect(seen).toBeGreaterThanOrEqual(9);
});

test("a general validator finds nothing wrong with the document", async () => {
  const { valid, errors } = await new Validator().validate(structuredClone(document));
  expect(valid, JSON.stringify(errors)).toBe(true);
});

test("null is one of the values wherever a schema allows it, and no pattern has a flag", () => {
  for (const [where, node] of walk(document.components)) {
    // `allOf` with a null beside a reference allows nothing.
    expect(node, where).not.toHaveProperty("allOf");
    if (typeof node.pattern === "string") expect(node.pattern, where).not.toMatch(/^\/.*\/[a-z]*$/);
  }
  const contract = new Contract(document);
  const { RepairAnswer, SpecLine } = document.components.schemas;
  expect(contract.faults(RepairAnswer.properties.nearest, null)).toBeNull();
  expect(contract.faults(RepairAnswer.properties.nearest, {})).toContain("must have required property");
  expect(contract.faults(SpecLine.properties.ingredient, "rum-Aged")).toBeNull();
  expect(contract.faults(SpecLine.properties.ingredient, "rum aged")).toContain("pattern");
});

test("lists of a fixed length say so, and unions told apart by a field name it", () => {
  const { Vec3, Mat3, TargetSpec, DilutionChoice, Intent } = document.components.schemas;
  for (const tuple of [Vec3, Mat3]) expect(tuple).toMatchObject({ minItems: 3, maxItems: 3 });
  expect(TargetSpec.discriminator).toMatchObject({
    propertyName: "kind",
    mapping: { box: "#/components/schemas/BoxTarget" },
  });
  expect(Object.keys(DilutionChoice.discriminator.mapping)).toEqual(["regression", "energy", "measured"]);
  expect(Intent.discriminator.propertyName).toBe("ask");
});

/** Where each number of a schema is, and whether anything is said of it there or around it within its field. */
function* numbers(node: unknown, where: string, isSaid = false): Generator<[string, boolean]> {
  if (typeof node !== "object" || node === null) return;
  const { description, type, properties, ...rest } = node as Record<string, unknown>;
  const said = isSaid || description !== undefined;
  if ([type].flat().some((t) => t === "number" || t === "integer")) yield [where, said];
  for (const [name, field] of Object.entries((properties as object) ?? {})) {
    yield* numbers(field, `${where}.${name}`);
  }
  for (const key of ["anyOf", "oneOf", "prefixItems", "items", "additionalProperties", "schema"]) {
    for (const part of [rest[key]].flat()) yield* numbers(part, where, said);
  }
}

test("every number says its unit or meaning where it stands", () => {
  const parameters = new Contract(document).operations.flatMap((o) => o.operation.parameters ?? []);
  const all = [
    ...Object.entries(document.components.schemas).flatMap(([id, schema]) => [...numbers(schema, id)]),
    ...parameters.flatMap((parameter) => [...numbers(parameter, parameter.name)]),
  ];
  expect(all.length).toBeGreaterThan(500);
  expect(all.flatMap(([where, isSaid]) => (isSaid ? [] : [where]))).toEqual([]);
});

describe("example answers", () => {
  test("there is one for each way each operation answers well, and each is what the document says", async () => {
    // The app it is made by is held to the document as well, with the answers at their full length.
    const examples = await makeExamples(testApp());
    const shown = new Contract(await documentOf(testApp({ examples: () => examples })));
    const missing: string[] = [];
    let seen = 0;
    for (const { method, path, operation } of shown.operations) {
      for (const [status, response] of Object.entries(operation.responses)) {
        const media = response.content?.["application/json"];
        if (!status.startsWith("2") || !media) continue;
        seen += 1;
        if (media.example === undefined) missing.push(`${method} ${path} ${status}`);
        else expect(shown.faults(media.schema, media.example), `${method} ${path} ${status}`).toBeNull();
      }
    }
    expect(missing).toEqual([]);
    expect(seen).toBeGreaterThan(90);
  });
});

test("every kind of problem has its page", async () => {
  for (const slug of Object.keys(PROBLEMS)) {
    const response = await app.request(`/problems/${slug}`);
    expect(response.status, slug).toBe(200);
    expect(await response.text()).toContain(PROBLEMS[slug as keyof typeof PROBLEMS].remedy.split("'")[0]);
  }
});
