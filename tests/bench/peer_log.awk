# The bench's summary of a log in awk: mawk -F, -f peer_log.awk log.csv. Prints what reference.c prints.
function days(y, m, d,   era, of) {
    if (m <= 2) y--
    era = int(y / 400); of = y - era * 400
    return era * 146097 + of * 365 + int(of / 4) - int(of / 100) + int((153 * (m + (m > 2 ? -3 : 9)) + 2) / 5) + d - 1 - 719468
}
function event(on, lasting, k) {
    if (on) {
        if (since[k] < 0) since[k] = last_time
        reach[k] = last_time + duration
        if (duration > 0) return
    }
    if (since[k] >= 0 && reach[k] - since[k] >= lasting) events[k]++
    since[k] = -1
}
function account(   i, v, held, imbalance, off) {
    held = now - last_time
    duration = held > 0 && held <= 10 ? held : 0
    spraying = last[2] != 0
    rows++
    for (i = 2; i <= 13; i++) {
        v = last[i]; sum[i] += v
        if (v < least[i]) least[i] = v
        if (v > greatest[i]) greatest[i] = v
    }
    logged += duration; iso_pumped += last[8] * duration; resin_pumped += last[9] * duration
    imbalance = (last[6] - last[7]) / last[7]
    if (spraying) {
        spraying_rows++
        if (!was_spraying) sprays++
        spraying_time += duration; iso_volume += last[8] * duration; resin_volume += last[9] * duration
        for (i = 2; i <= 13; i++) {
            v = last[i]; spraying_sum[i] += v
            if (v < spraying_least[i]) spraying_least[i] = v
            if (v > spraying_greatest[i]) spraying_greatest[i] = v
        }
        imbalance_sum += imbalance
        if (imbalance < imbalance_least) imbalance_least = imbalance
        if (imbalance > imbalance_greatest) imbalance_greatest = imbalance
        if (last[5] < 45) below += duration; else if (last[5] > 60) above += duration; else inside += duration
    } else if (last[8] > 0.05 || last[9] > 0.05) recirculating += duration
    else idle += duration
    off = 0
    if (spraying && last[9] != 0) { off = last[8] / last[9] - 1; off = off > 0.05 || off < -0.05 }
    event(off, 5, 1)
    event(spraying && (imbalance > 0.1 || imbalance < -0.1), 5, 2)
    event(last[5] < 45, 60, 3)
    was_spraying = spraying && duration > 0
}
BEGIN {
    for (i = 2; i <= 13; i++) { least[i] = spraying_least[i] = 1e300; greatest[i] = spraying_greatest[i] = -1e300 }
    since[1] = since[2] = since[3] = -1
    imbalance_least = 1e300; imbalance_greatest = -1e300
}
NR > 1 {
    date = substr($1, 1, 10)
    if (date != day) { day = date; start = 86400 * days(substr($1, 1, 4) + 0, substr($1, 6, 2) + 0, substr($1, 9, 2) + 0) }
    now = start + substr($1, 12, 2) * 3600 + substr($1, 15, 2) * 60 + substr($1, 18, 2)
    if (NR > 2) account()
    last_time = now
    for (i = 2; i <= 13; i++) last[i] = $i + 0
}
END {
    now = last_time
    account()
    printf "rows %d\nsprays %d\nspraying_time %.0f\nrecirculating_time %.0f\nidle_time %.0f\n", rows, sprays, spraying_time, recirculating, idle
    printf "iso_volume %.6f\nresin_volume %.6f\nratio %.9f\n", iso_volume / 60, resin_volume / 60, iso_volume / resin_volume
    printf "imbalance_mean %.9f\nhose_below %.0f\n", imbalance_sum / spraying_rows, below
    printf "off_ratio_events %d\noff_balance_events %d\ncold_events %d\n", events[1], events[2], events[3]
    printf "mean %.6f %.6f %.6f\n", sum[6] / rows, sum[3] / rows, spraying_sum[6] / spraying_rows
}
