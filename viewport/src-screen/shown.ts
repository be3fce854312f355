// The one way in which a number is rounded for people; the same rule as in hoopwright/units/shown.py.

const NOISE_DECIMALS = 9;

/** A number as it is read: a half goes away from zero, and there is no negative zero. */
export function asShown(value: number, decimals: number): string {
  const size = Math.abs(value);
  const typed = Number(size.toFixed(NOISE_DECIMALS));
  // moving the point in the decimal writing is exact, where a product is not
  const whole = Math.round(moved(typed, decimals));
  const text = moved(whole, -decimals).toFixed(decimals);
  return value < 0 && whole > 0 ? `-${text}` : text;
}

function moved(value: number, places: number): number {
  const [digits, power] = value.toExponential().split("e");
  return Number(`${digits}e${Number(power) + places}`);
}
