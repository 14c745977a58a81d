import type { JSX } from "preact";
import { useId } from "preact/hooks";

interface FieldProps {
  name: string;
  label: string;
  hint?: string;
  value?: string;
}

interface ChoiceProps {
  name: string;
  label: string;
  value?: string;
  options: readonly (readonly [string, string])[];
}

interface InputProps extends FieldProps {
  type?: "text" | "date";
  inputMode?: "decimal" | "numeric";
  required?: boolean;
  maxLength?: number;
}

/** A labelled input; its form reads it by its name. */
export function Field({ name, label, hint, value = "", type = "text", ...props }: InputProps): JSX.Element {
  const id = useId();
  const given = { ...props, id, name, defaultValue: value, autocomplete: "off" } as const;
  return (
    <p class="field">
      <Label id={id} label={label} hint={hint} />
      {type === "date" ? <input {...given} type="date" /> : <input {...given} type="text" />}
    </p>
  );
}

export function Lines({ name, label, hint, value = "", rows = 4 }: FieldProps & { rows?: number }): JSX.Element {
  const id = useId();
  return (
    <p class="field">
      <Label id={id} label={label} hint={hint} />
      <textarea id={id} name={name} rows={rows} defaultValue={value} spellcheck={false} />
    </p>
  );
}

/** `options` are values with their words; the one that is the field's own is chosen. */
export function Choice({ label, ...choice }: ChoiceProps): JSX.Element {
  const id = useId();
  return (
    <p class="field">
      <Label id={id} label={label} />
      <Select id={id} {...choice} />
    </p>
  );
}

const Label = ({ id, label, hint }: { id: string; label: string; hint?: string | undefined }): JSX.Element => (
  <label for={id}>
    {label}
    {hint ? <small> {hint}</small> : null}
  </label>
);

interface SelectProps extends Omit<ChoiceProps, "label"> {
  id?: string;
  /** Its name for those who can't see what stands around it. */
  named?: string;
}

export function Select({ id, name, named, value = "", options }: SelectProps): JSX.Element {
  return (
    <select name={name} {...(id === undefined ? {} : { id })} {...(named === undefined ? {} : { "aria-label": named })}>
      {options.map(([option, words]) => (
        <option key={option} value={option} selected={option === value}>
          {words}
        </option>
      ))}
    </select>
  );
}

/** What the fields of a form hold, by name. */
export function typedIn(event: Event & { currentTarget: HTMLFormElement }): (name: string) => string {
  event.preventDefault();
  const data = new FormData(event.currentTarget);
  return (name) => String(data.get(name) ?? "").trim();
}
