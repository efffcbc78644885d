import type { RouteConfig, z } from "@hono/zod-openapi";
import { type AppDeps, createApp } from "../../api/app.ts";
import { type Problem, ProblemSchema } from "../../api/schemas/problem.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

export function testApp(deps: Partial<AppDeps> = {}) {
  return createApp({ data: loadReferenceData(), engineVersion: "0.0.0-test", ...deps });
}

export type App = ReturnType<typeof testApp>;

/** Every route the app declares, from the registry its OpenAPI document is made of. */
export function declaredRoutes(app: App): RouteConfig[] {
  return app.openAPIRegistry.definitions.flatMap((d) => (d.type === "route" ? [d.route] : []));
}

export function jsonSchemaOf(route: RouteConfig, status = 200): z.ZodType {
  const response = route.responses[status];
  const content = response && "content" in response ? response.content : undefined;
  const media = content?.["application/json"];
  const schema = media && "schema" in media ? media.schema : undefined;
  if (!schema || !("safeParse" in schema)) throw new Error(`${route.path} declares no JSON for ${status}`);
  return schema as z.ZodType;
}

export function bodySchemaOf(route: RouteConfig): z.ZodType {
  const media = route.request?.body?.content["application/json"];
  const schema = media && "schema" in media ? media.schema : undefined;
  if (!schema || !("safeParse" in schema)) throw new Error(`${route.path} takes no JSON`);
  return schema as z.ZodType;
}

/** The body shown in the reference for this route. */
export function exampleOf(app: App, route: RouteConfig): Record<string, unknown> {
  const document = app.getOpenAPI31Document({ openapi: "3.1.0", info: { title: "", version: "" } });
  const operation = (document.paths?.[route.path] as Record<string, Operation> | undefined)?.[route.method];
  const ref = operation?.requestBody?.content["application/json"]?.schema.$ref?.split("/").at(-1) ?? "";
  const example = (document.components?.schemas?.[ref] as { example?: Record<string, unknown> } | undefined)
    ?.example;
  if (!example) throw new Error(`${route.path} shows no example`);
  return structuredClone(example);
}

interface Operation {
  requestBody?: { content: Record<string, { schema: { $ref?: string } }> };
}

export function post(app: App, path: string, body: unknown, headers: Record<string, string> = {}) {
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
