// Vite turns these imports into the page's stylesheet; to TypeScript they have no value.
declare module "*.css";
