import "./pantry.css";
import { useStore } from "../house.ts";
import { EVIDENCE } from "./words.ts";

/** A source by its short form, with its whole citation at the foot of the page, and how good it is. */
export function SourceLink({ id, memory = false }: { id: string; memory?: boolean | undefined }) {
  const sources = useStore().data.sources.value;
  const source = sources.find((candidate) => candidate.id === id);
  // The sources come a little later; what none of them holds is the user's own.
  if (sources.length === 0) return <span class="hint">…</span>;
  if (!source) return <span>your own figure</span>;
  const evidence = memory ? "memory" : source.evidence;
  return (
    <>
      <a href={`#source-${id}`}>{source.title}</a>{" "}
      <span class={`evidence evidence-${evidence}`}>{EVIDENCE[evidence]}</span>
    </>
  );
}
