/* Judges changed programs in one process: for each line of standard input, "INDEX PATH", the
 * program INDEX of FOLDER is replaced by the file PATH and the whole is judged from its setup
 * record; the answer is a line "pass", or "fail" and the words of the findings that are errors, or
 * "status N".
 *
 * usage: mutation_judge FOLDER PROFILES PROGRAM... */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"

enum { MOST_PROGRAMS = 16, LINE = 4096 };

static void judge(const char *setup, const char *const *path, size_t n, const struct sw_app *app)
{
    struct sw_arena *arena = sw_arena_new();
    struct sw_diag *diag = sw_diag_new();
    if (arena == NULL || diag == NULL)
        exit(5);
    struct sw_ctx ctx = {arena, diag};
    const struct sw_app_dryrun dryrun = {.path = path, .n = n, .setup = setup};
    struct sw_verdict *verdict = NULL;
    const enum sw_status status = sw_app_dryrun(&verdict, NULL, &dryrun, app, &ctx);
    if (verdict == NULL || (status != SW_OK && status != SW_FOUND)) {
        printf("status %d", (int)status);
    } else {
        bool is_told[SW_N_FINDINGS] = {false};
        printf("%s", verdict->passes ? "pass" : "fail");
        for (size_t i = 0; i < verdict->findings.n; i++) {
            const struct sw_finding *found = &verdict->findings.at[i];
            if (found->severity == SW_ERROR && !is_told[found->code])
                printf(" %s", sw_finding_word(found->code));
            is_told[found->code] |= found->severity == SW_ERROR;
        }
    }
    putchar('\n');
    fflush(stdout);
    sw_diag_free(diag);
    sw_arena_free(arena);
}

int main(int argc, char **argv)
{
    if (argc < 4 || argc - 3 > MOST_PROGRAMS)
        return 2;
    char setup[LINE], line[LINE];
    snprintf(setup, sizeof setup, "%s/setup.yaml", argv[1]);
    const char *const roots[] = {argv[2], NULL};
    const struct sw_app app = {.version = "test", .search = {roots}};
    const size_t n = (size_t)argc - 3;
    while (fgets(line, sizeof line, stdin)) {
        const char *path[MOST_PROGRAMS];
        char *at;
        const size_t index = strtoul(line, &at, 10);
        line[strcspn(line, "\n")] = '\0';
        if (index >= n || *at != ' ')
            return 2;
        for (size_t i = 0; i < n; i++)
            path[i] = i == index ? at + 1 : argv[3 + i];
        judge(setup, path, n, &app);
    }
    return 0;
}
