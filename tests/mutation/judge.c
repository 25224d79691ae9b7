/* Judges changed programs in one process: for each request on standard input, a line "INDEX SIZE" and
 * SIZE bytes, the program INDEX of FOLDER is replaced by them and the whole is judged by its setup
 * record; the answer is a line "pass", or "fail" and the words of the findings that are errors, or
 * "status N".
 *
 * usage: mutation_judge FOLDER PROFILES PROGRAM... */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "base/file.h"

enum { MOST_PROGRAMS = 16, PATH = 4096 };

/* What a judgement needs besides the texts. */
struct basis {
    struct sw_setup *setup;
    struct sw_shop *shop;
    struct sw_shape *shape;
};

static enum sw_status load(struct basis *basis, const char *folder, const struct sw_search *search,
                           struct sw_ctx *ctx)
{
    char path[PATH];
    struct sw_staff *staff = NULL;
    const char *shop_path;
    snprintf(path, sizeof path, "%s/setup.yaml", folder);
    SW_TRY(sw_setup_load(&basis->setup, path, ctx));
    SW_TRY(sw_shop_find(&shop_path, basis->setup->shop.value, "shops", path, search,
                        (struct sw_span){0}, ctx));
    SW_TRY(sw_shop_load(&basis->shop, shop_path, search, ctx));
    snprintf(path, sizeof path, "%s/%s", folder, basis->setup->staff.value);
    SW_TRY(sw_staff_load(&staff, path, ctx));
    const struct sw_leave leave = {basis->setup->stone, basis->setup->burnish, basis->setup->tip};
    const struct sw_shape_extra extra = {basis->setup->upper_long.value,
                                         basis->setup->lower_long.value};
    return sw_shape_build(&basis->shape, staff, &leave, &extra, ctx);
}

static void judge(const struct sw_app_text *text, size_t n, const struct basis *basis)
{
    struct sw_arena *arena = sw_arena_new();
    struct sw_diag *diag = sw_diag_new();
    if (arena == NULL || diag == NULL)
        exit(5);
    struct sw_ctx ctx = {arena, diag};
    struct sw_verdict *verdict = NULL;
    const enum sw_status status =
        sw_app_judge(&verdict, text, n, basis->setup, basis->shop, basis->shape, false, &ctx);
    if (verdict == NULL || status != SW_OK) {
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
    struct sw_app_text base[MOST_PROGRAMS], text[MOST_PROGRAMS];
    struct sw_arena *arena = sw_arena_new();
    struct sw_diag *diag = sw_diag_new();
    const char *const roots[] = {argv[2], NULL};
    const struct sw_search search = {roots};
    struct basis basis = {0};
    const size_t n = (size_t)argc - 3;
    if (arena == NULL || diag == NULL)
        return 5;
    struct sw_ctx ctx = {arena, diag};
    if (load(&basis, argv[1], &search, &ctx) != SW_OK)
        return 3;
    for (size_t i = 0; i < n; i++) {
        base[i].name = argv[3 + i];
        if (sw_file_read(&base[i].text, &base[i].size, argv[3 + i], SW_FILE_MOST_PROGRAM, &ctx) !=
            SW_OK)
            return 3;
    }
    size_t index, size;
    while (scanf("%zu %zu", &index, &size) == 2) {
        char *changed = malloc(size + 1);
        if (changed == NULL || index >= n || getchar() != '\n' ||
            fread(changed, 1, size, stdin) != size)
            return 2;
        changed[size] = '\0';
        memcpy(text, base, sizeof text);
        text[index].text = changed;
        text[index].size = size;
        judge(text, n, &basis);
        free(changed);
    }
    sw_diag_free(diag);
    sw_arena_free(arena);
    return 0;
}
