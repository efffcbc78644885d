import { brotliDecompressSync, gunzipSync } from "node:zlib";
import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";

/*
 * The published document as a judge: what is sent and what is answered is checked against its JSON Schema by a
 * general-purpose validator, never against the schemas the server itself checks with.
 */

type Json = Record<string, unknown>;

export interface Operation {
  operationId: string;
  summary?: string;
  tags?: string[];
  parameters?: { name: string; in: string; schema: Json; example?: unknown; required?: boolean }[];
  requestBody?: { required?: boolean; content: Record<string, { schema: Json; example?: Json }> };
  responses: Record<
    string,
    {
      description: string;
      headers?: Record<string, { description: string }>;
      content?: Record<string, { schema: Json; example?: unknown }>;
    }
  >;
}

export interface Document {
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, Json> };
}

/** Every object of the document closed: an answer with a field the document does not name is then invalid. */
function closed(node: unknown): unknown {
  if (typeof node !== "object" || node === null) return node;
  if (Array.isArray(node)) return node.map(closed);
  const copy = Object.fromEntries(Object.entries(node).map(([key, value]) => [key, closed(value)]));
  const isObject = "properties" in copy && typeof copy.properties === "object" && copy.type === "object";
  return isObject && !("additionalProperties" in copy) ? { ...copy, additionalProperties: false } : copy;
}

/** The JSON of an answer, unpacked if need be; the answer itself stays unread. */
async function readJson(response: Response): Promise<unknown> {
  const bytes = Buffer.from(await response.clone().arrayBuffer());
  const unpack = { br: brotliDecompressSync, gzip: gunzipSync }[
    response.headers.get("content-encoding") ?? ""
  ];
  return JSON.parse(String(unpack ? unpack(bytes) : bytes));
}

export class Contract {
  readonly operations: { path: string; method: string; operation: Operation }[];
  readonly #ajv = new Ajv2020({ strict: false, allErrors: true, validateFormats: false });
  readonly #compiled = new Map<string, ValidateFunction>();

  constructor(document: Document) {
    this.#ajv.addSchema(closed({ components: document.components }) as Json, "doc");
    this.operations = Object.entries(document.paths).flatMap(([path, methods]) =>
      Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
    );
  }

  /** What is wrong with a value under a schema of the document; null when nothing is. */
  faults(schema: Json, value: unknown): string | null {
    const key = JSON.stringify(schema);
    let validate = this.#compiled.get(key);
    if (!validate) {
      validate = this.#ajv.compile(JSON.parse(key.replaceAll('"#/', '"doc#/')) as Json);
      this.#compiled.set(key, validate);
    }
    return validate(value) ? null : this.#ajv.errorsText(validate.errors?.slice(0, 5));
  }

  /** The operation a request is for, if the document has one. */
  find(method: string, path: string): { path: string; operation: Operation } | undefined {
    return this.operations.find(
      (o) =>
        o.method === method.toLowerCase() &&
        new RegExp(`^${o.path.replace(/\{\w+\}/g, "[^/]+")}$`).test(path),
    );
  }

  /** Throw if the answer to a request is not one the document declares, or a body that was taken is invalid. */
  async judge(
    request: { method: string; path: string; body: string | null },
    response: Response,
  ): Promise<void> {
    const found = this.find(request.method, request.path);
    if (!found) return;
    const name = `${request.method} ${found.path}`;
    const declared = found.operation.responses[response.status];
    if (!declared) {
      // A method the path does not take has no operation, and so nowhere to be declared.
      throw new Error(`${name} answered ${response.status}, which the document does not declare`);
    }
    for (const header of Object.keys(declared.headers ?? {})) {
      if (["Retry-After", "Accept-Encoding", "Server-Timing"].includes(header)) continue;
      if (!response.headers.has(header)) throw new Error(`${name} ${response.status} came without ${header}`);
    }
    const type = response.headers.get("content-type")?.split(";")[0] ?? "";
    const media = declared.content?.[type];
    if (declared.content && !media) throw new Error(`${name} ${response.status} came as ${type}`);
    if (!media) return;
    const fault = this.faults(media.schema, await readJson(response));
    if (fault)
      throw new Error(`${name} answered ${response.status} with what its document forbids: ${fault}`);
    const taken = found.operation.requestBody?.content["application/json"];
    if (response.ok && taken && request.body !== null) {
      const sent = this.faults(taken.schema, JSON.parse(request.body));
      if (sent) throw new Error(`${name} took a body its document forbids: ${sent}`);
    }
  }
}
