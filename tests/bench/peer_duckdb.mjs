// The bench's summary of a log in DuckDB: node peer_duckdb.mjs FOLDER-OF-node_modules THREADS log.csv. Prints what reference.c prints.
import { createRequire } from "node:module";
const require = createRequire(process.argv[2] + "/");
const { DuckDBInstance } = require("@duckdb/node-api");
const [threads, path] = process.argv.slice(3);
const instance = await DuckDBInstance.create(":memory:", { threads });
const connection = await instance.connect();

const names = ["trigger", "iso_temperature", "resin_temperature", "hose_temperature", "iso_pressure", "resin_pressure", "iso_flow", "resin_flow",
               "iso_cycles", "resin_cycles", "hose_current", "air_temperature"];
const each = names.map((n) => `min(${n}), max(${n}), avg(${n}) AS mean_${n}, min(${n}) FILTER (spraying), max(${n}) FILTER (spraying), ` +
                              `avg(${n}) FILTER (spraying) AS spraying_mean_${n}`).join(", ");
await connection.run(`CREATE TEMP TABLE held AS
  WITH log AS (SELECT * FROM read_csv('${path.replaceAll("'", "''")}', header = true, columns = {
      'time': 'TIMESTAMP', ${names.map((n) => `'${n}': 'DOUBLE'`).join(", ")}}, auto_detect = false, timestampformat = '%Y-%m-%dT%H:%M:%SZ')),
  timed AS (SELECT *, epoch(time) AS t, lead(epoch(time)) OVER (ORDER BY time) - epoch(time) AS step FROM log)
  SELECT *, CASE WHEN step > 0 AND step <= 10 THEN step ELSE 0 END AS duration, trigger <> 0 AS spraying,
         iso_flow > 0.05 OR resin_flow > 0.05 AS moving, (iso_pressure - resin_pressure) / resin_pressure AS imbalance FROM timed`);
// a run goes on where the row before is in it too and has a duration
const runs = (on, lasting) => `(SELECT count(*) FROM (SELECT max(t + duration) - min(t) AS lasted FROM
  (SELECT *, sum(CASE WHEN "on" AND coalesce(before, false) AND duration_before > 0 THEN 0 ELSE 1 END) OVER (ORDER BY t ROWS UNBOUNDED PRECEDING) AS run FROM
    (SELECT t, duration, coalesce(${on}, false) AS "on", lag(coalesce(${on}, false)) OVER (ORDER BY t) AS before, lag(duration) OVER (ORDER BY t) AS duration_before FROM held))
  WHERE "on" GROUP BY run) WHERE lasted >= ${lasting})`;
const result = await connection.runAndReadAll(`SELECT count(*) AS rows, ${runs("spraying", 0)} AS sprays, sum(duration) FILTER (spraying) AS spraying_time,
  sum(duration) FILTER (NOT spraying AND moving) AS recirculating_time, sum(duration) FILTER (NOT spraying AND NOT moving) AS idle_time,
  sum(iso_flow * duration) FILTER (spraying) / 60 AS iso_volume, sum(resin_flow * duration) FILTER (spraying) / 60 AS resin_volume,
  sum(iso_flow * duration) FILTER (spraying) / sum(resin_flow * duration) FILTER (spraying) AS ratio, avg(imbalance) FILTER (spraying) AS imbalance_mean,
  sum(duration) FILTER (spraying AND hose_temperature < 45) AS hose_below,
  ${runs("spraying AND abs(iso_flow / nullif(resin_flow, 0) - 1) > 0.05", 5)} AS off_ratio_events,
  ${runs("spraying AND abs(imbalance) > 0.1", 5)} AS off_balance_events, ${runs("hose_temperature < 45", 60)} AS cold_events, ${each} FROM held`);
const [row] = result.getRowObjects();
for (const name of ["rows", "sprays", "spraying_time", "recirculating_time", "idle_time", "iso_volume", "resin_volume", "ratio", "imbalance_mean",
                    "hose_below", "off_ratio_events", "off_balance_events", "cold_events"])
  console.log(`${name} ${row[name]}`);
console.log(`mean ${row.mean_iso_pressure} ${row.mean_iso_temperature} ${row.spraying_mean_iso_pressure}`);
