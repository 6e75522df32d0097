// Lengths as a shop writes them: millimetres inside, fractions of an inch or whole millimetres shown.

export const INCH = 25.4;

/** The step (mm) of a slider: a sixteenth of an inch, or a millimetre. */
export const shopStep = (units) => (units === "inch" ? INCH / 16 : 1);

/** A length (mm) as text with its unit, which the tool reads back without loss of the shop's step. */
export function lengthText(mm, units) {
  if (units !== "inch") return `${Math.round(mm * 10) / 10} mm`;
  const steps = Math.round((mm / INCH) * 32);
  const whole = Math.floor(steps / 32);
  let top = steps % 32;
  if (!top) return `${whole} in`;
  let bottom = 32;
  while (top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  return whole ? `${whole}-${top}/${bottom} in` : `${top}/${bottom} in`;
}

/** What was typed, with the unit of the shop where it has none. */
export function withUnit(text, units) {
  const typed = text.trim();
  return /^[\d\s./-]+$/.test(typed) ? `${typed} ${units === "inch" ? "in" : "mm"}` : typed;
}
