import { defineConfig } from "vite";

// The page is served by the API process, from the files this build writes. Its rooms have addresses of their own
// (/bench/…, /pantry …), so what it loads is named from the root.
export default defineConfig({
  base: "/",
  worker: { format: "es" },
  build: {
    outDir: "../.build/viz",
    emptyOutDir: true,
    target: "es2022",
    modulePreload: { polyfill: false },
  },
});
