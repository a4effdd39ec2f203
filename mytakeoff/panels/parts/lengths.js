// Lengths as the job shows them: metric, or in feet and inches to the fraction that mytakeoff/inches.py has. Half up;
// the small addition keeps what is exactly half from falling below it.
const INCH_MM = 25.4, ALMOST = 1e-9, NOTHING_MM = 0.05, NO_BREAK = "\u00a0";
const partsOf = (mm, parts) => Math.floor(mm / INCH_MM * parts + 0.5 + ALMOST);

function inchWords(count, parts) {
  const whole = Math.floor(count / parts);
  let [rest, of] = [count % parts, parts];
  while (rest && rest % 2 === 0) [rest, of] = [rest / 2, of / 2];
  const said = [...(whole || !rest ? [`${whole}`] : []), ...(rest ? [`${rest}/${of}`] : [])];
  return `${said.join(NO_BREAK)}"`;
}

// A place or a size; metres have two decimals, and their unit where it is `named`.
function lengthWords(model, metres, named) {
  if (!model.get("feet_and_inches")) return `${metres.toFixed(2).replace(".", model.get("point"))}${named ? " m" : ""}`;
  const eighths = partsOf(Math.abs(metres) * 1000, 8), feet = Math.floor(eighths / 96), left = eighths % 96;
  const said = [...(feet ? [`${feet}'`] : []), ...(left || !feet ? [inchWords(left, 8)] : [])];
  return (metres < 0 && eighths ? "\u2212" : "") + said.join(NO_BREAK);
}

// A thickness of 0 or more; millimetres have so many decimals.
function depthWords(model, mm, places) {
  if (!model.get("feet_and_inches")) return `${mm.toFixed(places).replace(".", model.get("point"))} mm`;
  const fine = partsOf(mm, 32);
  if (!fine && mm >= NOTHING_MM) return 'under 1/32"';
  return fine < 16 ? inchWords(fine, 32) : inchWords(partsOf(mm, 16), 16);
}
