/* watchdog.h — the second wall around scripts: a limit of time over the whole process. */
#ifndef IMP_RUNNER_WATCHDOG_H
#define IMP_RUNNER_WATCHDOG_H

/* Should `seconds` pass (with some grace) before watchdog_end, the process says so and ends with
 * EXIT_LIMIT. Whatever was collected for -o is not written. */
void watchdog_start(double seconds);
void watchdog_end(void);

#endif
