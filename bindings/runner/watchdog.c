#include "watchdog.h"

#include <signal.h>
#include <string.h>
#include <sys/time.h>
#include <unistd.h>

#include "exit_code.h"

static void bite(int signal_number)
{
    static const char sentence[] =
        "impinge: the script did not stop at the end of its time; ended by the watchdog (--max-seconds allows more)\n";
    (void)signal_number;
    const ssize_t ignored = write(STDERR_FILENO, sentence, sizeof sentence - 1);
    (void)ignored;
    _exit(EXIT_LIMIT);
}

static void set_timer(double seconds)
{
    struct itimerval timer;
    memset(&timer, 0, sizeof timer);
    timer.it_value.tv_sec = (time_t)seconds;
    timer.it_value.tv_usec = (suseconds_t)((seconds - (double)timer.it_value.tv_sec) * 1e6);
    setitimer(ITIMER_REAL, &timer, NULL);
}

void watchdog_start(double seconds)
{
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_handler = bite;
    sigemptyset(&action.sa_mask);
    sigaction(SIGALRM, &action, NULL);
    set_timer(1.5 * seconds + 1.0);
}

void watchdog_end(void)
{
    set_timer(0.0);
}
