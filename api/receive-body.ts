import { createMiddleware } from "hono/factory";
import { HTTPException } from "hono/http-exception";
import type { ApiEnv } from "./router.ts";

/** Read the whole body before anything else, or give up after `ms`: 408. */
export function receiveBody(ms: number) {
  return createMiddleware<ApiEnv>(async (c, next) => {
    if (c.req.raw.body) {
      let timer: NodeJS.Timeout | undefined;
      const late = new Promise<never>((_, reject) => {
        timer = setTimeout(() => reject(new HTTPException(408)), ms);
      });
      // The request keeps what was read, so the validators find it.
      await Promise.race([c.req.text(), late]).finally(() => clearTimeout(timer));
    }
    await next();
  });
}
