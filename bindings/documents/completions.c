/* The completion of three shells, each a file. */
#include "documents.h"

imp_status write_completions(const char *folder, imp_error *error)
{
    static const struct {
        void (*write)(output *out);
        const char *name;
    } shells[] = {{write_bash, "impinge.bash"}, {write_zsh, "_impinge"}, {write_fish, "impinge.fish"}};
    imp_status status = IMP_OK;
    for (size_t i = 0; i < sizeof shells / sizeof shells[0] && status == IMP_OK; i++) {
        output out;
        output_init(&out, shells[i].name, "never");
        shells[i].write(&out);
        status = finish_file(&out, folder, shells[i].name, error);
    }
    return status;
}
