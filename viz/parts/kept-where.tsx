import { useHouse } from "../house.ts";
import type { Standing } from "../state/server.ts";

function words(standing: Standing | null): string {
  switch (standing?.state) {
    case "kept":
      return "Kept in this browser and on its server.";
    case "alone":
      return "Kept in this browser. No server keeps it as well just now; what you do goes there once one answers.";
    case "shut":
      return "Kept in this browser. The link to its server no longer opens it; what you do stays here.";
    case "refused":
      return `Kept in this browser. The server could not take all of it: ${standing.reason}`;
    default:
      return "Kept in this browser.";
  }
}

/** A quiet word of where the rounds are. */
export function KeptWhere() {
  const standing = useHouse().standing.value;
  return (
    <p class="hint kept-where" data-state={standing?.state ?? "asking"}>
      {words(standing)}
    </p>
  );
}
