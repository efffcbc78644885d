// Vite turns these imports into the page's stylesheets; to TypeScript they have no value.
declare module "*.css";
