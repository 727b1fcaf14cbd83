/* Runs a fuzz target without libFuzzer: every input of the corpus, then inputs made from them by small changes, the same
 * ones each time.
 *   fuzz_TARGET CORPUS_FOLDER [CHANGED_INPUTS [MOST_SECONDS]]
 * An input that breaks a promise, or takes more than half a minute, is left in the file broken-input. */
#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "fuzz.h"

enum { MOST_INPUTS = 4000, LONGEST = 1 << 20, LONGEST_CHANGED = 8192, SLOWEST = 30 };

typedef struct input {
    char *name;
    uint8_t *bytes;
    size_t size;
} input;

static input inputs[MOST_INPUTS];
static size_t input_count;
static const uint8_t *volatile current;
static volatile size_t current_size;

static void leave_input(int number)
{
    static const char sentence[] = "\nthis input is left in broken-input\n";
    const int file = open("broken-input", O_WRONLY | O_CREAT | O_TRUNC, 0666);
    if (file >= 0 && write(file, current, current_size) >= 0 && write(2, sentence, sizeof sentence - 1) > 0)
        close(file);
    signal(number, SIG_DFL);
    raise(number == SIGALRM ? SIGABRT : number);
}

const char *__asan_default_options(void); /* so that a fault ends in leave_input */
const char *__asan_default_options(void)
{
    return "abort_on_error=1";
}
const char *__ubsan_default_options(void);
const char *__ubsan_default_options(void)
{
    return "abort_on_error=1:print_stacktrace=1";
}

static void read_input(const char *folder, const char *name)
{
    char path[4096];
    struct stat found;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    if (file == NULL || fstat(fileno(file), &found) != 0 || !S_ISREG(found.st_mode) || found.st_size > LONGEST) {
        if (file != NULL)
            fclose(file);
        return;
    }
    input *made = &inputs[input_count++];
    made->bytes = malloc((size_t)found.st_size + 1);
    made->name = strdup(name);
    if (made->bytes == NULL || made->name == NULL)
        abort();
    made->size = fread(made->bytes, 1, (size_t)found.st_size, file);
    fclose(file);
}

static int by_name(const void *a, const void *b)
{
    return strcmp(((const input *)a)->name, ((const input *)b)->name);
}

static bool read_corpus(const char *folder)
{
    DIR *entries = opendir(folder);
    if (entries == NULL)
        return false;
    for (struct dirent *entry; (entry = readdir(entries)) != NULL && input_count < MOST_INPUTS;)
        read_input(folder, entry->d_name);
    closedir(entries);
    qsort(inputs, input_count, sizeof inputs[0], by_name);
    return input_count > 0;
}

static void run(const uint8_t *bytes, size_t size)
{
    uint8_t *copy = malloc(size > 0 ? size : 1); /* of its own size, so that reading beyond it is seen */
    if (copy == NULL)
        abort();
    memcpy(copy, bytes, size);
    current = copy;
    current_size = size;
    alarm(SLOWEST);
    LLVMFuzzerTestOneInput(copy, size);
    alarm(0);
    free(copy);
}

/* splitmix64 */
static uint64_t state = 20310514;
static size_t dice(size_t sides)
{
    uint64_t z = (state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return (size_t)((z ^ (z >> 31)) % sides);
}

static size_t insert(uint8_t *text, size_t size, const void *piece, size_t length)
{
    const size_t at = dice(size + 1);
    if (size + length > LONGEST_CHANGED)
        return size;
    memmove(text + at + length, text + at, size - at);
    memcpy(text + at, piece, length);
    return size + length;
}

static size_t cut_out(uint8_t *text, size_t size)
{
    const size_t at = dice(size), length = 1 + dice(dice(8) == 0 ? size - at : (size - at < 8 ? size - at : 8));
    memmove(text + at, text + at + length, size - at - length);
    return size - length;
}

static size_t change(uint8_t *text, size_t size)
{
    static size_t words;
    while (words == 0 || fuzz_words[words] != NULL)
        words++;
    const input *other = &inputs[dice(input_count)];
    switch (size > 0 ? dice(8) : 4) {
    case 0: text[dice(size)] ^= (uint8_t)(1u << dice(8)); return size;
    case 1: text[dice(size)] = (uint8_t)dice(256); return size;
    case 2: text[dice(size)] = (uint8_t)("0123456789.,-+e\"{}[] \n"[dice(22)]); return size;
    case 3: return cut_out(text, size);
    case 4:
    case 5: {
        const char *word = fuzz_words[dice(words)];
        return insert(text, size, word, strlen(word));
    }
    case 6: {
        const size_t at = dice(size), length = 1 + dice(size - at < 64 ? size - at : 64);
        uint8_t piece[64];
        memcpy(piece, text + at, length);
        return insert(text, size, piece, length);
    }
    default: {
        if (other->size == 0)
            return size;
        const size_t at = dice(other->size), left = other->size - at;
        return insert(text, size, other->bytes + at, 1 + dice(left < 256 ? left : 256));
    }
    }
}

int main(int argc, char **argv)
{
    static const int numbers[] = {SIGABRT, SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGALRM};
    static uint8_t text[LONGEST_CHANGED];
    const long wanted = argc > 2 ? atol(argv[2]) : 0, seconds = argc > 3 ? atol(argv[3]) : 3600;
    const time_t end = time(NULL) + seconds;
    long made = 0;
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        signal(numbers[i], leave_input);
    if (argc < 2 || !read_corpus(argv[1])) {
        fprintf(stderr, "fuzz: expected a folder with inputs\n");
        return 1;
    }
    for (size_t i = 0; i < input_count; i++)
        run(inputs[i].bytes, inputs[i].size);
    for (; made < wanted && time(NULL) < end; made++) {
        const input *from = &inputs[dice(input_count)];
        size_t size = from->size < LONGEST_CHANGED ? from->size : LONGEST_CHANGED;
        memcpy(text, from->bytes, size);
        for (size_t changes = 1 + dice(6); changes > 0; changes--)
            size = change(text, size);
        run(text, size);
    }
    printf("%zu inputs of the corpus, %ld made from them\n", input_count, made);
    for (size_t i = 0; i < input_count; i++) {
        free(inputs[i].bytes);
        free(inputs[i].name);
    }
    return 0;
}
