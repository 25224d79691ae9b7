/* outdir_fixture: an output folder of an earlier run with a stranger in it, and a run over it. */
#ifndef SW_TESTS_UNIT_OUTDIR_FIXTURE_H
#define SW_TESTS_UNIT_OUTDIR_FIXTURE_H

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/fileinside.h"
#include "support/near.h"

static char parent[] = "/tmp/sw-test-XXXXXX";
static char target[100];

static const char old_record[] = "{\"format\": \"x/1\", \"files\": [\"side-1.nc\", \"side-2.nc\"]}";
static const char new_record[] =
    "{\n  \"files\": [\n    \"side-1.nc\",\n    \"sheet.txt\"\n  ]\n}\n";

static inline int make_parent(void **state)
{
    (void)state;
    if (!mkdtemp(parent))
        return -1;
    snprintf(target, sizeof target, "%s/out", parent);
    return 0;
}

static inline int remove_parent(void **state)
{
    (void)state;
    return rmdir(parent);
}

static inline const char *path_of(const char *folder, const char *name)
{
    static char path[300];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static inline void put(const char *name, const char *text)
{
    FILE *file = fopen(path_of(target, name), "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static inline int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* "a=content;b=content;" in order of names; "" for no folder. */
static inline const char *contents(const char *folder)
{
    static char text[2000];
    char *names[50];
    size_t n = 0;
    text[0] = '\0';
    DIR *dir = opendir(folder);
    if (!dir)
        return text;
    for (const struct dirent *e; (e = readdir(dir));)
        if (e->d_name[0] != '.' || strlen(e->d_name) > 2)
            names[n++] = strdup(e->d_name);
    closedir(dir);
    qsort(names, n, sizeof *names, by_name);
    for (size_t i = 0; i < n; i++) {
        char content[200] = "";
        FILE *file = fopen(path_of(folder, names[i]), "r");
        if (file) {
            content[fread(content, 1, sizeof content - 1, file)] = '\0';
            fclose(file);
        }
        snprintf(text + strlen(text), sizeof text - strlen(text), "%s=%s;", names[i], content);
        free(names[i]);
    }
    return text;
}

static inline void wipe(const char *folder)
{
    DIR *dir = opendir(folder);
    if (!dir)
        return;
    for (const struct dirent *e; (e = readdir(dir));) {
        char path[800];
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        if (strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0 && unlink(path) != 0)
            rmdir(path);
    }
    closedir(dir);
    rmdir(folder);
}

static inline void set_old(void)
{
    wipe(target);
    assert_int_equal(mkdir(target, 0777), 0);
    put("side-1.nc", "old 1");
    put("side-2.nc", "old 2");
    put("record.json", old_record);
    put("measured.yaml", "mine");
}

static inline bool is_old(void)
{
    char wanted[500];
    snprintf(wanted, sizeof wanted,
             "measured.yaml=mine;record.json=%s;side-1.nc=old 1;side-2.nc=old 2;", old_record);
    return strcmp(contents(target), wanted) == 0;
}

static inline bool is_new(void)
{
    char wanted[500];
    snprintf(wanted, sizeof wanted,
             "measured.yaml=mine;record.json=%s;sheet.txt=paper;side-1.nc=new 1;", new_record);
    return strcmp(contents(target), wanted) == 0;
}

static inline bool is_alone(void)
{
    return strcmp(contents(parent), "out=;") == 0;
}

static inline enum sw_status add_new(struct sw_outdir *dir)
{
    SW_TRY(sw_outdir_add(dir, "side-1.nc", "new 1", 5));
    SW_TRY(sw_outdir_add(dir, "sheet.txt", "paper", 5));
    return sw_outdir_add(dir, "record.json", new_record, strlen(new_record));
}

static inline enum sw_status run(bool force, struct sw_ctx *ctx)
{
    struct sw_outdir *dir = NULL;
    SW_TRY(sw_outdir_begin(&dir, target, "record.json", force, ctx));
    const enum sw_status status = add_new(dir);
    if (status != SW_OK) {
        sw_outdir_abort(dir);
        return status;
    }
    return sw_outdir_commit(dir);
}

/* Begins and gives up: only sweeps. */
static inline void sweep(void)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_outdir *dir = NULL;
    assert_int_equal(sw_outdir_begin(&dir, target, "record.json", false, &ctx), SW_OK);
    sw_outdir_abort(dir);
    sw_test_ctx_free(&ctx);
}

#endif
