import { type LinearInstance, rowsOf } from "./linear-instance.ts";

/**
 * A linear instance as CPLEX-LP text for HiGHS: steps up and down are integers, a binary per ingredient
 * says whether it is touched, and one touched ingredient weighs more than any volume.
 */
export function toLpText(instance: LinearInstance, integer = true): { text: string; touchWeight: number } {
  const { fromMl, stepMl, maxSteps, maxTouched } = instance;
  const up = fromMl.map((from, i) => maxSteps[i]! - Math.round(from / stepMl));
  const down = fromMl.map((from) => Math.round(from / stepMl));
  const touchWeight = 1 + stepMl * fromMl.reduce((sum, _, i) => sum + Math.max(up[i]!, down[i]!), 0);
  const number = (x: number) => (x < 0 ? `- ${Math.abs(x)}` : `+ ${x}`);
  const names = [...fromMl.keys()];
  const objective = names
    .map((i) => `+ ${stepMl} p${i} + ${stepMl} q${i}${integer ? ` + ${touchWeight} z${i}` : ""}`)
    .join(" ");
  const rows = rowsOf(instance).map((row, r) => {
    const rest = row.reduce((sum, a, i) => sum + a * fromMl[i]!, 0);
    const terms = row.flatMap((a, i) =>
      a === 0 ? [] : [`${number(a * stepMl)} p${i} ${number(-a * stepMl)} q${i}`],
    );
    return ` r${r}: ${terms.join(" ")} <= ${-rest}`;
  });
  const links = integer
    ? names.flatMap((i) => [` u${i}: p${i} - ${up[i]} z${i} <= 0`, ` d${i}: q${i} - ${down[i]} z${i} <= 0`])
    : [];
  const limit = integer ? [` t: ${names.map((i) => `+ z${i}`).join(" ")} <= ${maxTouched}`] : [];
  const poured = ` v: ${names.map((i) => `+ ${stepMl} p${i} - ${stepMl} q${i}`).join(" ")} >= ${stepMl - fromMl.reduce((a, b) => a + b, 0)}`;
  const bounds = names.flatMap((i) => [` 0 <= p${i} <= ${up[i]}`, ` 0 <= q${i} <= ${down[i]}`]);
  const text = [
    "Minimize",
    ` obj: ${objective}`,
    "Subject To",
    ...rows,
    ...links,
    ...limit,
    poured,
    "Bounds",
    ...bounds,
    ...(integer
      ? [
          "General",
          ` ${names.map((i) => `p${i} q${i}`).join(" ")}`,
          "Binary",
          ` ${names.map((i) => `z${i}`).join(" ")}`,
        ]
      : []),
    "End",
  ].join("\n");
  return { text, touchWeight };
}
