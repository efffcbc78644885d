/** Properties the stylesheet sets on the picture; each becomes an attribute of the exported file. */
const PROPERTIES = [
  "fill",
  "fill-opacity",
  "stroke",
  "stroke-width",
  "stroke-opacity",
  "stroke-dasharray",
  "stroke-linecap",
  "stroke-linejoin",
  "paint-order",
  "opacity",
  "font-family",
  "font-size",
  "font-style",
  "font-weight",
  "letter-spacing",
  "display",
] as const;

/** What only a page needs. */
const PAGE_ONLY = [
  "class",
  "style",
  "tabindex",
  "role",
  "aria-hidden",
  "aria-current",
  "aria-roledescription",
];

/**
 * A drawn, attached SVG as the text of a file that needs no stylesheet: computed styles become attributes (the
 * page's colours included), and `background` goes under everything.
 */
export function standaloneSvg(svg: SVGSVGElement, title: string, background: string): string {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const originals = [svg, ...svg.querySelectorAll("*")];
  const copies = [copy, ...copy.querySelectorAll("*")];
  originals.forEach((original, i) => {
    const target = copies[i]!;
    const style = getComputedStyle(original);
    const parent = original.parentElement && i > 0 ? getComputedStyle(original.parentElement) : null;
    for (const property of PROPERTIES) {
      const value = style.getPropertyValue(property);
      // Inherited properties are written once, where they change; opacity and display do not inherit.
      const inherited = property !== "opacity" && property !== "display";
      if (value === "" || (inherited && parent?.getPropertyValue(property) === value)) continue;
      if ((property === "opacity" && value === "1") || (property === "display" && value !== "none")) continue;
      target.setAttribute(property, value.replaceAll('"', "'"));
    }
    for (const name of [...PAGE_ONLY, "data-kind", "data-id", "data-panel", "aria-label"]) {
      target.removeAttribute(name);
    }
  });
  for (const hidden of copy.querySelectorAll('[display="none"]')) hidden.remove();
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  copy.setAttribute("role", "img");
  const ns = "http://www.w3.org/2000/svg";
  const sheet = document.createElementNS(ns, "rect");
  sheet.setAttribute("width", "100%");
  sheet.setAttribute("height", "100%");
  sheet.setAttribute("fill", background);
  const name = document.createElementNS(ns, "title");
  name.textContent = title;
  copy.prepend(name, sheet);
  return `<?xml version="1.0" encoding="UTF-8"?>\n${new XMLSerializer().serializeToString(copy)}\n`;
}
