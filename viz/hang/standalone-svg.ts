/** Properties the stylesheet sets on the picture; each becomes an attribute of the exported file. */
const PROPERTIES = [
  "fill",
  "fill-opacity",
  "stroke",
  "stroke-width",
  "stroke-opacity",
  "stroke-dasharray",
  "stroke-linejoin",
  "paint-order",
  "opacity",
  "font-size",
  "font-weight",
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
  "aria-label",
  "data-kind",
  "data-id",
];

/** A drawn, attached SVG as the text of an element that needs no stylesheet: computed styles become attributes. */
export function standaloneSvg(svg: SVGSVGElement): string {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const originals = [svg, ...svg.querySelectorAll("*")];
  const copies = [copy, ...copy.querySelectorAll("*")];
  originals.forEach((original, i) => {
    const target = copies[i]!;
    const style = getComputedStyle(original);
    const parent = original.parentElement && i > 0 ? getComputedStyle(original.parentElement) : null;
    for (const property of PROPERTIES) {
      const value = style.getPropertyValue(property);
      // Inherited properties are written once, where they change; opacity does not inherit.
      if (value === "" || (property !== "opacity" && parent?.getPropertyValue(property) === value)) continue;
      if (property === "opacity" && value === "1") continue;
      target.setAttribute(property, value.replaceAll('"', "'"));
    }
    for (const name of PAGE_ONLY) target.removeAttribute(name);
  });
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  return new XMLSerializer().serializeToString(copy);
}
