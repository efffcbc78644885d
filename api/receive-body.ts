import { bodyLimit } from "hono/body-limit";
import { createMiddleware } from "hono/factory";
import { HTTPException } from "hono/http-exception";
import { problem } from "./problems.ts";
import type { ApiEnv } from "./router.ts";

/**
 * Read the whole body before anything else: at most `maxBytes` (413), within `ms` (408).
 *
 * A declared length is judged by its header alone: touching the body stream costs the server a third of
 * its speed. Without one the stream is counted as it comes.
 */
export function receiveBody(maxBytes: number, ms: number) {
  const counted = bodyLimit({
    maxSize: maxBytes,
    onError: () => {
      throw new HTTPException(413);
    },
  });
  return createMiddleware<ApiEnv>(async (c, next) => {
    if (c.req.method === "GET" || c.req.method === "HEAD") return next();
    const declared = c.req.header("content-length");
    const isDeclared = declared !== undefined && c.req.header("transfer-encoding") === undefined;
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(() => reject(new HTTPException(408)), ms);
    });
    try {
      // What is read here is kept by the request, where the validators find it.
      const read = async (): Promise<void> => {
        await c.req.text();
      };
      if (isDeclared && Number(declared) > maxBytes) throw new HTTPException(413);
      await Promise.race([isDeclared ? read() : counted(c, read), late]);
    } catch (error) {
      if (error instanceof HTTPException && error.status === 413) {
        return problem(c, "too-large", `a body may have ${maxBytes} bytes`, [], { Connection: "close" });
      }
      throw error;
    } finally {
      clearTimeout(timer);
    }
    return next();
  });
}
