const PATHS = {
  lock: "M5 7V5a3 3 0 0 1 6 0v2M3.5 7h9v6.5h-9z",
  unlock: "M5 7V5a3 3 0 0 1 5.6-1.5M3.5 7h9v6.5h-9z",
  minus: "M3 8h10",
  plus: "M3 8h10M8 3v10",
  cross: "M4 4l8 8M12 4l-8 8",
  back: "M6 3L2.5 6.5 6 10M3 6.5h6.5a3.5 3.5 0 0 1 0 7H6",
  forth: "M10 3l3.5 3.5L10 10M13 6.5H6.5a3.5 3.5 0 0 0 0 7H10",
  down: "M3.5 6l4.5 4.5L12.5 6",
  menu: "M2.5 4h11M2.5 8h11M2.5 12h11",
  more: "M3 8h.01M8 8h.01M13 8h.01",
} as const;

/** A 16 px line icon; decorative, so the control around it carries the name. */
export function Icon({ name }: { name: keyof typeof PATHS }) {
  return (
    <svg class="icon" viewBox="0 0 16 16" aria-hidden="true">
      <path d={PATHS[name]} />
    </svg>
  );
}
