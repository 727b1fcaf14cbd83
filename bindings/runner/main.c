/* impinge — the command. */
#include <signal.h>
#include <stdio.h>

#include "exit_code.h"
#include "module.h"
#include "options.h"

static int run_command(const options *given, output *out)
{
    if (options_has(given, OPTION_HELP))
        options_help(given->command, out);
    else if (options_has(given, OPTION_VERSION))
        output_text(out, "impinge " IMP_VERSION "\n");
    else
        return given->command->run(given, out);
    return EXIT_OK;
}

int main(int argc, char **argv)
{
    options given;
    output out;
    imp_error error;
    signal(SIGPIPE, SIG_IGN); /* a reader that goes away is seen at the write, */
    signal(SIGXFSZ, SIG_IGN); /* and so is a file that may not grow */
    const imp_status status = options_parse(argc, argv, &given, &error);
    if (status != IMP_OK)
        return complain(&error, exit_code_of_argument(status));
    const bool about = options_has(&given, OPTION_HELP) || options_has(&given, OPTION_VERSION);
    const char *path = about ? NULL : options_text(&given, OPTION_OUTPUT);
    const char *color = options_text(&given, OPTION_COLOR);
    output_init(&out, path, color != NULL ? color : "never");
    int code = run_command(&given, &out);
    const bool writes = path == NULL || code < EXIT_USAGE; /* no half of a result in a file */
    if (writes && output_finish(&out, path, &error) != IMP_OK)
        code = complain(&error, EXIT_INTERNAL);
    output_free(&out);
    options_free(&given);
    return code;
}
