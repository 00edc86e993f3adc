import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

interface Common {
  readonly label: string;
  readonly hint?: string;
  /** What is wrong with this field and how to mend it. */
  readonly error?: string | undefined;
  readonly required?: boolean;
}

function Labelled(props: Common & { readonly id: string; readonly children: ComponentChildren }) {
  return (
    <div class={props.error === undefined ? "field" : "field wrong"}>
      <label for={props.id}>{props.label}</label>
      {props.hint !== undefined && (
        <span class="field-hint" id={`${props.id}-hint`}>
          {props.hint}
        </span>
      )}
      {props.children}
      {props.error !== undefined && (
        <span class="field-error" id={`${props.id}-error`}>
          {props.error}
        </span>
      )}
    </div>
  );
}

function described(id: string, props: Common): string | undefined {
  const ids = [props.hint !== undefined && `${id}-hint`, props.error !== undefined && `${id}-error`].filter(Boolean);
  return ids.length === 0 ? undefined : ids.join(" ");
}

interface TextFieldProps extends Common {
  readonly value: string;
  readonly onChange: (value: string) => void;
  readonly type?: "text" | "email" | "password" | "date" | "time" | "datetime-local" | "search";
  /** `decimal` or `numeric` brings up the number keys and still lets the form say what is wrong with the text. */
  readonly keys?: "text" | "decimal" | "numeric";
  readonly autocomplete?: string;
  readonly lines?: number;
}

export function TextField(props: TextFieldProps) {
  const id = useId();
  const common = {
    id,
    value: props.value,
    required: props.required ?? false,
    "aria-describedby": described(id, props),
    "aria-invalid": props.error !== undefined,
    onInput: (event: { currentTarget: { value: string } }) => props.onChange(event.currentTarget.value),
  };
  return (
    <Labelled {...props} id={id}>
      {props.lines !== undefined ? (
        <textarea {...common} rows={props.lines} />
      ) : (
        <input {...common} type={props.type ?? "text"} inputMode={props.keys ?? "text"} autocomplete={props.autocomplete ?? "off"} />
      )}
    </Labelled>
  );
}

interface SelectFieldProps extends Common {
  readonly value: string;
  readonly options: readonly { readonly value: string; readonly label: string }[];
  readonly onChange: (value: string) => void;
}

export function SelectField(props: SelectFieldProps) {
  const id = useId();
  return (
    <Labelled {...props} id={id}>
      <select
        id={id}
        value={props.value}
        aria-describedby={described(id, props)}
        aria-invalid={props.error !== undefined}
        onChange={(event) => props.onChange(event.currentTarget.value)}
      >
        {props.options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.label}
          </option>
        ))}
      </select>
    </Labelled>
  );
}

export function CheckField(props: { readonly label: string; readonly checked: boolean; readonly hint?: string; readonly onChange: (checked: boolean) => void }) {
  const id = useId();
  return (
    <label class="check" for={id}>
      <input id={id} type="checkbox" checked={props.checked} onChange={(event) => props.onChange(event.currentTarget.checked)} />
      <span>
        {props.label}
        {props.hint !== undefined && <span class="field-hint">{props.hint}</span>}
      </span>
    </label>
  );
}

export function FileField(props: Common & { readonly accept: string; readonly onChange: (file: File | null) => void }) {
  const id = useId();
  return (
    <Labelled {...props} id={id}>
      <input id={id} type="file" accept={props.accept} onChange={(event) => props.onChange(event.currentTarget.files?.[0] ?? null)} />
    </Labelled>
  );
}

/** One of a few, each a large button. */
export function Choice<T extends string>(props: {
  readonly label: string;
  readonly value: T | null;
  readonly options: readonly { readonly value: T; readonly label: string; readonly note?: string }[];
  readonly onChange: (value: T) => void;
}) {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend>{props.label}</legend>
      {props.options.map((option) => (
        <label key={option.value} class={option.value === props.value ? "chosen" : ""}>
          <input type="radio" name={name} value={option.value} checked={option.value === props.value} onChange={() => props.onChange(option.value)} />
          <span>
            {option.label}
            {option.note !== undefined && <span class="field-hint">{option.note}</span>}
          </span>
        </label>
      ))}
    </fieldset>
  );
}

/** A form that never reloads the page. */
export function Form(props: { readonly label: string; readonly onSubmit: () => void; readonly children: ComponentChildren }) {
  return (
    <form
      aria-label={props.label}
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        props.onSubmit();
      }}
    >
      {props.children}
    </form>
  );
}
