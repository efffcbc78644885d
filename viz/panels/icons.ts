const SVG = "http://www.w3.org/2000/svg";

const PATHS = {
  lock: "M5 7V5a3 3 0 0 1 6 0v2M3.5 7h9v6.5h-9z",
  unlock: "M5 7V5a3 3 0 0 1 5.6-1.5M3.5 7h9v6.5h-9z",
  minus: "M3 8h10",
  plus: "M3 8h10M8 3v10",
  cross: "M4 4l8 8M12 4l-8 8",
} as const;

/** A 16 px line icon; decorative, so the button around it carries the name. */
export function icon(name: keyof typeof PATHS): SVGSVGElement {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("class", "icon");
  svg.setAttribute("aria-hidden", "true");
  const path = document.createElementNS(SVG, "path");
  path.setAttribute("d", PATHS[name]);
  svg.append(path);
  return svg;
}
