/* Feeds a fuzz target the files named, and all files of the folders named, in the order of their
 * names. Fails when there was nothing to feed, or nothing of it was found sound. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"

/* No file of a corpus is longer. */
enum { MOST = 1 << 16 };

static size_t n_fed;

static void feed(const char *path)
{
    FILE *file = fopen(path, "rb");
    uint8_t *bytes = malloc(MOST);
    if (!file || !bytes) {
        fprintf(stderr, "%s cannot be read\n", path);
        exit(1);
    }
    const size_t size = fread(bytes, 1, MOST, file);
    fclose(file);
    /* A block of its very size, so that sanitizers see what reads beyond it. */
    uint8_t *exact = malloc(size > 0 ? size : 1);
    if (!exact)
        exit(1);
    memcpy(exact, bytes, size);
    free(bytes);
    fprintf(stderr, "%s\n", path);
    LLVMFuzzerTestOneInput(exact, size);
    free(exact);
    n_fed++;
}

static int is_shown(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

int main(int n, char **argument)
{
    for (int i = 1; i < n; i++) {
        struct dirent **entry = NULL;
        const int n_entries = scandir(argument[i], &entry, is_shown, alphasort);
        for (int k = 0; k < n_entries; k++) {
            char path[4096];
            snprintf(path, sizeof path, "%s/%s", argument[i], entry[k]->d_name);
            feed(path);
            free(entry[k]);
        }
        free(entry);
        if (n_entries < 0)
            feed(argument[i]);
    }
    printf("%zu inputs, %zu times sound\n", n_fed, sw_fuzz_n_good());
    return sw_fuzz_n_good() > 0 ? 0 : 1;
}
