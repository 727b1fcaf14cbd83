#include "session.h"

#include <stdlib.h>

#include "budget_options.h"
#include "exit_code.h"
#include "scripts_folder.h"

void session_write(void *context, const char *text, size_t length)
{
    output *out = context;
    output_bytes(out, text, length);
    if (out->reader_gone)
        exit(EXIT_OK); /* nobody reads any more, as with "| head" */
}

imp_script_options session_options(const options *given, const char *const *folders, output *out)
{
    return (imp_script_options){
        .budget = budget_of(given),
        .folders = folders,
        .folder_count = 1,
        .trusted = options_has(given, OPTION_TRUST),
        .write = session_write,
        .write_context = out,
    };
}

imp_status session_open(const options *given, output *out, imp_script **script, imp_error *error)
{
    char folder[FOLDER_SIZE];
    const imp_status status = find_scripts_folder(folder, sizeof folder, error);
    if (status != IMP_OK)
        return status;
    const char *const folders[] = {folder};
    const imp_script_options wanted = session_options(given, folders, out);
    return imp_script_open(&wanted, script, error);
}
