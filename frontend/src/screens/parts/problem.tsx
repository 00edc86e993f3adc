import type { Problem } from "../../sync/server.ts";

/** Everything that is wrong, at once, above the form; `named` turns a JSON Pointer into the field's label. */
export function ProblemList(props: { readonly problem: Problem | null; readonly named?: (pointer: string) => string | undefined }) {
  if (props.problem === null) return null;
  const { title, detail, errors } = props.problem;
  // What mends several mistakes alike is said once, below them.
  const [remedy] = errors.map((error) => error.remedy);
  const once = errors.length > 1 && remedy !== undefined && errors.every((error) => error.remedy === remedy) ? remedy : null;
  return (
    <div class="notice stop" role="alert">
      <strong>{title}</strong>
      {detail !== "" && detail !== title && !errors.some((error) => detail.startsWith(error.message)) && <p>{detail}</p>}
      {errors.length > 0 && (
        <ul>
          {errors.map((error, n) => {
            const where = error.pointer === "" ? undefined : (props.named?.(error.pointer) ?? plain(error.pointer));
            return (
              <li key={n}>
                {where !== undefined && <b>{where}: </b>}
                {error.message}
                {once === null && error.remedy !== undefined && !error.message.includes(error.remedy) && <> {error.remedy}</>}
              </li>
            );
          })}
        </ul>
      )}
      {once !== null && <p>{once}</p>}
    </div>
  );
}

/** The message for one field, to stand beside it. */
export function errorAt(problem: Problem | null, pointer: string): string | undefined {
  return problem?.errors.find((error) => error.pointer === pointer)?.message;
}

function plain(pointer: string): string {
  return pointer.slice(1).split("/").join(", ").replaceAll("_", " ");
}
