// Vite turns these imports into the page's stylesheets; to TypeScript they have no value.
declare module "*.css";
declare module "*.woff2?url" {
  const url: string;
  export default url;
}
