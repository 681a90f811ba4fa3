import { train as text } from '../text/train.ts';

interface Props {
  speed: number;
  onChange(speed: number): void;
}

export function SpeedChoice({ speed, onChange }: Props) {
  return (
    <fieldset class="speeds">
      <legend>{text.speed}</legend>
      {text.speeds.map((value) => (
        <label class="kind" key={value}>
          <input type="radio" name="speed" checked={speed === value} onChange={() => onChange(value)} />
          <span>{text.speedName(value)}</span>
        </label>
      ))}
      <p class="field-hint">{text.speedHint(speed)}</p>
    </fieldset>
  );
}
