import { type AppDeps, createApp } from "../../api/app.ts";
import { type Problem, ProblemSchema } from "../../api/schemas/problem.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { Contract, type Document } from "./contract.ts";

export type App = Pick<ReturnType<typeof createApp>, "request">;

let judge: Promise<Contract> | undefined;

/** The document of the app, as served. */
export async function documentOf(app: App): Promise<Document> {
  return (await (await app.request("/openapi.json")).json()) as Document;
}

/** The app, each of whose answers is held to the document it serves; one that breaks it fails its test. */
export function testApp(deps: Partial<AppDeps> = {}): App {
  const app = createApp({ data: loadReferenceData(), engineVersion: "0.0.0-test", ...deps });
  return {
    request: async (input, init) => {
      const request =
        input instanceof Request ? input : new Request(new URL(String(input), "http://localhost"), init);
      const sent =
        request.headers.get("content-type") === "application/json" && typeof init?.body === "string";
      const response = await app.request(input, init);
      judge ??= documentOf(app).then((document) => new Contract(document));
      const { pathname } = new URL(request.url);
      const asked = { method: request.method, path: pathname, body: sent ? String(init?.body) : null };
      await (await judge).judge(asked, response);
      return response;
    },
  };
}

/** One operation of the document, and how to call it as its example does. */
export interface Route {
  method: string;
  path: string;
  /** The body shown in the reference; empty where none is taken. */
  example: Record<string, unknown>;
}

/** Every operation the app documents; `{id}` in a path is filled with its example. */
export async function declaredRoutes(app: App): Promise<Route[]> {
  const { operations } = new Contract(await documentOf(app));
  return operations.map(({ method, path, operation }) => ({
    method,
    path: path.replace(/\{(\w+)\}/g, (_, name) =>
      String(operation.parameters?.find((p) => p.name === name)?.example),
    ),
    example: operation.requestBody?.content["application/json"]?.example ?? {},
  }));
}

/** Paths of the store's routes. */
export const KEPT =
  /^\/v1\/(benches|ingredients|preps|settings|history|undo|sync|backup|restore|links|taste)\b/;

export async function post(app: App, path: string, body: unknown, headers: Record<string, string> = {}) {
  return app.request(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", ...headers },
    body: typeof body === "string" ? body : JSON.stringify(body),
  });
}

/** The problem document of an answer, checked against its schema and its own status. */
export async function readProblem(response: Response): Promise<Problem> {
  const type = response.headers.get("content-type");
  if (type !== "application/problem+json") throw new Error(`answered ${response.status} as ${type}`);
  const problem = ProblemSchema.parse(await response.json());
  if (problem.status !== response.status) throw new Error(`status ${problem.status} in ${response.status}`);
  return problem;
}
