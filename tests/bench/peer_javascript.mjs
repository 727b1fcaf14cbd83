// Peers from npm: mathjs converts units, psychrolib finds the dew point. One line each, "name<TAB>nanoseconds".
import { createRequire } from "node:module";
const require = createRequire(process.argv[2] + "/");

function best(turns, work) {
  let least = Infinity;
  for (let round = 0; round < 5; round++) {
    const start = process.hrtime.bigint();
    for (let i = 0; i < turns; i++) work(i);
    least = Math.min(least, Number(process.hrtime.bigint() - start) / turns);
  }
  return least.toFixed(1);
}

let sink = 0;
try {
  const { unit } = require("mathjs");
  console.log("parse two unit texts and convert\t" + best(20000, (i) => { sink += unit(i + 1, "lb/ft^3").toNumber("kg/m^3"); }));
} catch (error) { console.error("mathjs: " + error.message); }
try {
  const loaded = require("psychrolib");
  const psychrolib = loaded.default ?? loaded;
  psychrolib.SetUnitSystem(psychrolib.SI);
  console.log("evaluate climate.dew_point\t" + best(50000, (i) => { sink += psychrolib.GetTDewPointFromRelHum(20 * (1 + 1e-6 * (i & 1023)), 0.5); }));
} catch (error) { console.error("psychrolib: " + error.message); }
