#include "scripts_folder.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* The folder of the running program, without its last "/". */
static bool program_folder(char *folder, size_t size)
{
    const ssize_t length = readlink("/proc/self/exe", folder, size - 1);
    if (length <= 0 || (size_t)length >= size - 1)
        return false;
    folder[length] = '\0';
    char *slash = strrchr(folder, '/');
    if (slash == NULL)
        return false;
    *slash = '\0';
    return true;
}

imp_status find_scripts_folder(char *folder, size_t size, imp_error *error)
{
    char program[FOLDER_SIZE];
    if (program_folder(program, sizeof program)) {
        const int length = snprintf(folder, size, "%s/../share/impinge/scripts", program);
        if (length > 0 && (size_t)length < size && access(folder, R_OK | X_OK) == 0)
            return IMP_OK;
    }
    const int length = snprintf(folder, size, "%s", IMP_INSTALLED_SCRIPTS); /* where /proc is not mounted */
    if (length > 0 && (size_t)length < size && access(folder, R_OK | X_OK) == 0)
        return IMP_OK;
    return imp_fail(error, IMP_IO, NULL,
                    "the program's own scripts are not found at ../share/impinge/scripts beside it; install it again");
}
