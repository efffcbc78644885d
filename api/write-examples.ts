import { writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import manifest from "../package.json" with { type: "json" };
import { loadReferenceData } from "../reference-data/load.ts";
import { createApp } from "./app.ts";
import { makeExamples } from "./examples.ts";
import { storeDoor } from "./store/open.ts";

/*
 * Writes the example answers beside the built server: `node .build/api/write-examples.js`, a step of the build. A
 * server run from its source shows those of the last build; one that finds none says so in its document.
 */

const store = storeDoor({ folder: null });
const docsDir = fileURLToPath(new URL("./docs", import.meta.url));
const app = createApp({ data: loadReferenceData(), engineVersion: manifest.version, store, docsDir });
const examples = await makeExamples(app);
writeFileSync(new URL("./examples.json", import.meta.url), JSON.stringify(examples));
await store.close();
