import { AXIS_TITLE } from "../words/axis.ts";

/** The head of a table of changes: what is done, the three axes, and a last column for its button. */
export function AxisHead({ what, act }: { what: string; act: string }) {
  return (
    <thead>
      <tr>
        <th scope="col">{what}</th>
        {AXIS_TITLE.map((title) => (
          <th scope="col" key={title}>
            {title}
          </th>
        ))}
        <th scope="col">
          <span class="visually-hidden">{act}</span>
        </th>
      </tr>
    </thead>
  );
}
