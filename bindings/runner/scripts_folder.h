/* scripts_folder.h — where the Lua that comes with the program lies. No environment variable has a say. */
#ifndef IMP_RUNNER_SCRIPTS_FOLDER_H
#define IMP_RUNNER_SCRIPTS_FOLDER_H

#include <stddef.h>

#include "status.h"

enum { FOLDER_SIZE = 4096 };

/* ../share/impinge/scripts beside the running program (a build folder has a link there), else where `cmake --install`
 * puts them unless told otherwise. IMP_IO when there is neither. */
imp_status find_scripts_folder(char *folder, size_t size, imp_error *error);

#endif
