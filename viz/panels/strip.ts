import { toVec } from "../../engine/axes.ts";
import { el, fill, setText } from "../dom.ts";
import { axisNumber } from "../words/verdict.ts";
import type { Panel } from "./context.ts";

/**
 * The reading in one line, kept in sight while the readout is scrolled away. It repeats what the
 * readout says, so it is hidden from screen readers except for its links.
 */
export const strip: Panel = (host) => {
  const words = el("span", { class: "strip-words", "aria-hidden": "true" });
  const numbers = ([0, 1, 2] as const).map((k) => {
    const value = el("b", {});
    const part = el(
      "span",
      { class: "strip-number", "aria-hidden": "true" },
      value,
      ["sugar", "acid", "% vol"][k],
    );
    return { value, part };
  });
  fill(
    host,
    ...numbers.map(({ part }) => part),
    words,
    el(
      "span",
      { class: "strip-links" },
      el("a", { href: "#spec" }, "Spec"),
      el("a", { href: "#ask" }, "Ask"),
      el("a", { href: "#map" }, "Map"),
      el("a", { href: "#proposals" }, "Ways"),
    ),
  );
  const watched = document.getElementById("readout");
  if (watched) {
    new IntersectionObserver(
      ([entry]) => {
        host.hidden = entry?.isIntersecting === true;
      },
      { rootMargin: "-60px 0px 0px 0px" },
    ).observe(watched);
  }
  return (_state, { placement, verdict }) => {
    if (!placement) {
      setText(words, "Nothing to place yet.");
      for (const { value } of numbers) setText(value, "–");
      return;
    }
    const point = toVec(placement.point);
    numbers.forEach(({ value }, k) => {
      setText(value, axisNumber(k as 0 | 1 | 2, point[k as 0 | 1 | 2]));
    });
    host.dataset.state = verdict ? (verdict.inside ? "in" : "out") : "none";
    numbers.forEach(({ part }, k) => {
      part.dataset.state = verdict?.axes[k]?.state ?? "none";
    });
    setText(words, verdict?.headline ?? "");
  };
};
