import { useEffect, useRef, useState } from "preact/hooks";

/** Width a picture has before it is laid out, and the most it takes. */
const USUAL_WIDTH = 520;
const MOST_WIDTH = 640;

/** An SVG as wide as its place, drawn by a pure function; its writing keeps its size on a phone. */
export function Picture({
  label,
  height,
  draw,
  rests,
}: {
  label: string;
  height: number;
  draw: (svg: SVGSVGElement, width: number, height: number) => void;
  /** What the drawing rests on. */
  rests: unknown;
}) {
  const svg = useRef<SVGSVGElement>(null);
  const [width, setWidth] = useState(USUAL_WIDTH);
  useEffect(() => {
    const place = svg.current?.parentElement;
    if (!place) return;
    const watch = new ResizeObserver(() => setWidth(Math.min(MOST_WIDTH, Math.max(240, place.clientWidth))));
    watch.observe(place);
    return () => watch.disconnect();
  }, []);
  useEffect(() => {
    if (svg.current) draw(svg.current, width, height);
  }, [rests, width]);
  return (
    <div class="picture">
      <svg ref={svg} role="img" aria-label={label} width={width} height={height} />
    </div>
  );
}
