import { defineConfig } from "vite";

// The page is served by the API process at "/", from the files this build writes.
export default defineConfig({
  base: "./",
  worker: { format: "es" },
  build: { outDir: "../.build/viz", emptyOutDir: true, target: "es2022" },
});
