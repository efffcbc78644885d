import type { createRouter } from "./router.ts";

/** The OpenAPI 3.1 description of every route, from the schemas the routes validate with. */
export function openApiDocument(app: ReturnType<typeof createRouter>, version: string) {
  return app.getOpenAPI31Document({
    openapi: "3.1.0",
    info: {
      title: "Steelyard API",
      version,
      description:
        "Sugar, acid and alcohol of a finished mixed drink, and the least change that brings it into range. Volumes are mL at 20 °C; sugar and acid are g per 100 mL of finished drink; acid is titratable acidity as anhydrous citric acid. Errors are problem documents (RFC 9457), listed at /problems. Drinks hold alcohol and allergens: see /v1/cautions; local law, food codes and licensed practice come first.",
      license: { name: "MIT" },
    },
    servers: [{ url: "/" }],
    tags: [
      { name: "Drinks", description: "Place, solve, read and compare specs." },
      { name: "Reference data", description: "What the engine works from." },
      { name: "Server" },
    ],
  });
}
