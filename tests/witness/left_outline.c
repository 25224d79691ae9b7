/* What the simulator says is left of a folder that make wrote, for the witness that cuts it too: a
 * line a ring, "least" or "most", "hole" or "piece", then z and r of its points in the part frame
 * [mm].
 *
 * usage: left_outline FOLDER PROFILES */
#include <stdio.h>

#include "app/app.h"

static void show(const char *what, const struct sw_rings *rings)
{
    for (size_t i = 0; i < rings->n; i++) {
        printf("%s %s", what, rings->at[i].is_hole ? "hole" : "piece");
        for (size_t k = 0; k < rings->at[i].n; k++)
            printf(" %.9f %.9f", rings->at[i].at[k].z, rings->at[i].at[k].r);
        putchar('\n');
    }
}

int main(int argc, char **argv)
{
    if (argc != 3)
        return 2;
    struct sw_arena *arena = sw_arena_new();
    struct sw_diag *diag = sw_diag_new();
    if (arena == NULL || diag == NULL)
        return 5;
    struct sw_ctx ctx = {arena, diag};
    const char *const roots[] = {argv[2], NULL};
    const struct sw_app app = {.version = "test", .search = {roots}};
    const char *const path[] = {argv[1]};
    const struct sw_app_dryrun dryrun = {.path = path, .n = 1};
    struct sw_verdict *verdict = NULL;
    const enum sw_status status = sw_app_dryrun(&verdict, NULL, &dryrun, &app, &ctx);
    if (verdict != NULL) {
        show("least", &verdict->left[0]);
        show("most", &verdict->left[1]);
    }
    sw_diag_free(diag);
    sw_arena_free(arena);
    return status == SW_OK ? 0 : 1;
}
