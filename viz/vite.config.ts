import { readFileSync } from "node:fs";
import { defineConfig, type Plugin } from "vite";

// The page is served by the API process, from the files this build writes. Its rooms have addresses of their own
// (/bench/…, /pantry …), so what it loads is named from the root.
/** What the page itself loads, told by Vite before any room's list: a room that opens need not ask for it again. */
let firstLoad: ReadonlySet<string> = new Set();

/** The window's icon within the document: browsers ask for one by address anew whenever the page changes its own. */
const iconInPlace: Plugin = {
  name: "icon-in-place",
  transformIndexHtml(html) {
    const drawing = readFileSync(new URL("./public/mark.svg", import.meta.url), "utf8").trim();
    const address = `data:image/svg+xml,${drawing.replaceAll('"', "'").replaceAll("#", "%23")}`;
    return html.replace('href="/mark.svg"', `href="${address}"`);
  },
};

export default defineConfig({
  plugins: [iconInPlace],
  base: "/",
  worker: { format: "es" },
  build: {
    outDir: "../.build/viz",
    emptyOutDir: true,
    // The texts that the licences of what is bundled ask to be passed on.
    license: { fileName: "licences.md" },
    target: "es2022",
    rolldownOptions: {
      output: {
        // What the first screen needs is one file: thirty small ones pack worse, and each is a request.
        codeSplitting: { groups: [{ name: "first", tags: ["$initial"] }] },
      },
    },
    modulePreload: {
      polyfill: false,
      resolveDependencies: (_file, deps, { hostType }) => {
        if (hostType === "html") firstLoad = new Set(deps);
        return hostType === "html" ? deps : deps.filter((dep) => !firstLoad.has(dep));
      },
    },
  },
});
