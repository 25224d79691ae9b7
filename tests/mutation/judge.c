/* Judges changed programs: for each request on standard input, a line "INDEX SIZE" and SIZE bytes,
 * the program INDEX of FOLDER is replaced by them and the whole is judged by its setup record; the
 * answer is a line "pass", or "fail" and the words of the errors found, or "status N".
 *
 * Most changes leave all before them as it was. So the unchanged programs are judged once, and
 * every few events a copy of the process stays behind; the copy nearest before the first line
 * changed forks, takes the new text's events in place of those to come, and judges on. It ends with
 * the first error. --whole judges each from its begin to its end instead.
 *
 * usage: mutation_judge [--whole] FOLDER PROFILES PROGRAM... */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "app/app.h"
#include "base/file.h"

enum { MOST_PROGRAMS = 16, PATH = 4096, KEEP_EVERY = 20, MOST_KEPT = 1000 };

/* What a judgement needs besides the texts. */
struct basis {
    struct sw_setup *setup;
    struct sw_shop *shop;
    struct sw_shape *shape;
};

struct kept {
    size_t program, event;
    int to; /* requests are written here */
};

struct run {
    const struct basis *basis;
    struct sw_verify_program program[MOST_PROGRAMS];
    struct sw_app_text base[MOST_PROGRAMS];
    size_t n;
    struct kept kept[MOST_KEPT];
    size_t n_kept;
    int answer[2];
    bool is_changed; /* in a fork that judges a changed text */
    struct sw_ctx *ctx;
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

static void say(FILE *to, const struct sw_verdict *verdict)
{
    bool is_told[SW_N_FINDINGS] = {false};
    fputs(verdict->passes ? "pass" : "fail", to);
    for (size_t i = 0; i < verdict->findings.n; i++) {
        const struct sw_finding *found = &verdict->findings.at[i];
        if (found->severity == SW_ERROR && !is_told[found->code])
            fprintf(to, " %s", sw_finding_word(found->code));
        is_told[found->code] |= found->severity == SW_ERROR;
    }
    fputc('\n', to);
}

/* The end of a fork. */
static void answer(const struct run *run, const struct sw_verdict *verdict, const char *otherwise)
{
    FILE *to = fdopen(run->answer[1], "w");
    if (to == NULL)
        _exit(5);
    if (verdict != NULL)
        say(to, verdict);
    else
        fprintf(to, "%s\n", otherwise);
    fclose(to);
    _exit(0);
}

static bool has_errors(const struct sw_diag *diag)
{
    for (size_t i = 0; i < sw_diag_n(diag); i++)
        if (sw_diag_at(diag, i)->severity == SW_ERROR)
            return true;
    return false;
}

/* Exchange the events of a program for those of a text. */
static void take(struct run *run, size_t index, char *text, size_t size)
{
    struct sw_app_text changed = {run->base[index].name, text, size};
    struct sw_diag *diag = sw_diag_new();
    struct sw_ctx ctx = {run->ctx->arena, diag};
    struct sw_verify_program *program = &run->program[index];
    if (diag == NULL)
        _exit(5);
    const enum sw_status status =
        sw_app_read_program(program, &changed, index, run->basis->setup, run->basis->shop, &ctx);
    if (status != SW_OK)
        answer(run, NULL, "status");
    if (program->text_is_wrong && has_errors(diag))
        answer(run, NULL, "fail block");
    run->is_changed = true;
}

static bool read_all(int from, void *to, size_t size)
{
    for (char *at = to; size > 0;) {
        const ssize_t n = read(from, at, size);
        if (n <= 0)
            return false;
        at += n;
        size -= (size_t)n;
    }
    return true;
}

static bool write_all(int to, const void *from, size_t size)
{
    for (const char *at = from; size > 0;) {
        const ssize_t n = write(to, at, size);
        if (n <= 0)
            return false;
        at += n;
        size -= (size_t)n;
    }
    return true;
}

/* What a copy left behind does: it returns in its forks alone. */
static void serve(struct run *run, int from)
{
    for (size_t request[2]; read_all(from, request, sizeof request);) {
        char *text = malloc(request[1] + 1);
        if (text == NULL || !read_all(from, text, request[1]))
            _exit(5);
        text[request[1]] = '\0';
        const pid_t fork_of = fork();
        if (fork_of == 0) {
            take(run, request[0], text, request[1]);
            return;
        }
        free(text);
        int status = 0;
        if (fork_of < 0 || waitpid(fork_of, &status, 0) < 0)
            _exit(5);
        if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
            (void)write_all(run->answer[1], "crash\n", 6);
    }
    _exit(0);
}

static enum sw_status before(size_t program, size_t event, const struct sw_verdict *so_far,
                             void *user)
{
    struct run *run = user;
    int to[2];
    if (run->is_changed) {
        if (!so_far->passes)
            answer(run, so_far, NULL);
        return SW_OK;
    }
    if (event % KEEP_EVERY != 0 || run->n_kept == MOST_KEPT)
        return SW_OK;
    if (pipe(to) != 0)
        return SW_INTERNAL;
    const pid_t copy = fork();
    if (copy < 0)
        return SW_INTERNAL;
    if (copy == 0) {
        close(to[1]);
        for (size_t i = 0; i < run->n_kept; i++)
            close(run->kept[i].to);
        serve(run, to[0]);
        return SW_OK;
    }
    close(to[0]);
    run->kept[run->n_kept++] = (struct kept){program, event, to[1]};
    return SW_OK;
}

static uint32_t first_difference(const struct sw_app_text *base, const char *text, size_t size)
{
    uint32_t line = 1;
    for (size_t i = 0; i < size && i < base->size && text[i] == base->text[i]; i++)
        line += text[i] == '\n';
    return line;
}

/* The last copy before anything of that line. */
static const struct kept *copy_for(const struct run *run, size_t program, uint32_t line)
{
    const struct sw_motion *motion = run->program[program].motion;
    const struct kept *found = NULL;
    for (size_t i = 0; i < run->n_kept; i++) {
        const struct kept *kept = &run->kept[i];
        if (kept->program == program &&
            (kept->event == 0 || motion->at[kept->event - 1].line < line))
            found = kept;
    }
    return found;
}

static void judge_whole(const struct run *run, size_t index, const char *changed, size_t size)
{
    struct sw_arena *arena = sw_arena_new();
    struct sw_diag *diag = sw_diag_new();
    struct sw_app_text text[MOST_PROGRAMS];
    if (arena == NULL || diag == NULL)
        exit(5);
    struct sw_ctx ctx = {arena, diag};
    struct sw_verdict *verdict = NULL;
    memcpy(text, run->base, sizeof text);
    text[index].text = changed;
    text[index].size = size;
    const enum sw_status status = sw_app_judge(&verdict, text, run->n, run->basis->setup,
                                               run->basis->shop, run->basis->shape, false, &ctx);
    if (status == SW_OK)
        say(stdout, verdict);
    else
        printf("status %d\n", (int)status);
    sw_diag_free(diag);
    sw_arena_free(arena);
}

static int attend(struct run *run, bool is_whole)
{
    size_t index, size;
    while (scanf("%zu %zu", &index, &size) == 2) {
        char *changed = malloc(size + 1), c = '\0';
        if (changed == NULL || index >= run->n || getchar() != '\n' ||
            fread(changed, 1, size, stdin) != size)
            return 2;
        changed[size] = '\0';
        if (is_whole) {
            judge_whole(run, index, changed, size);
        } else {
            const struct kept *kept =
                copy_for(run, index, first_difference(&run->base[index], changed, size));
            const size_t request[2] = {index, size};
            if (kept == NULL || !write_all(kept->to, request, sizeof request) ||
                !write_all(kept->to, changed, size))
                return 5;
            while (c != '\n' && read_all(run->answer[0], &c, 1))
                putchar(c);
        }
        fflush(stdout);
        free(changed);
    }
    return 0;
}

static int judge_all(struct run *run)
{
    const struct sw_verify_watch watch = {before, run};
    struct sw_verdict *verdict = NULL;
    for (size_t i = 0; i < run->n; i++)
        if (sw_app_read_program(&run->program[i], &run->base[i], i, run->basis->setup,
                                run->basis->shop, run->ctx) != SW_OK)
            return 3;
    if (pipe(run->answer) != 0)
        return 5;
    const enum sw_status status =
        sw_verify_watched(&verdict, &watch, run->program, run->n, run->basis->setup,
                          run->basis->shop, run->basis->shape, run->ctx);
    if (run->is_changed)
        answer(run, status == SW_OK ? verdict : NULL, "status");
    return status == SW_OK && verdict->passes ? 0 : 1;
}

int main(int argc, char **argv)
{
    const bool is_whole = argc > 1 && strcmp(argv[1], "--whole") == 0;
    static struct run run;
    argv += is_whole;
    argc -= is_whole;
    if (argc < 4 || argc - 3 > MOST_PROGRAMS)
        return 2;
    struct sw_arena *arena = sw_arena_new();
    struct sw_diag *diag = sw_diag_new();
    const char *const roots[] = {argv[2], NULL};
    const struct sw_search search = {roots};
    struct basis basis = {0};
    if (arena == NULL || diag == NULL)
        return 5;
    struct sw_ctx ctx = {arena, diag};
    run.ctx = &ctx;
    run.basis = &basis;
    run.n = (size_t)argc - 3;
    if (load(&basis, argv[1], &search, &ctx) != SW_OK)
        return 3;
    for (size_t i = 0; i < run.n; i++) {
        run.base[i].name = argv[3 + i];
        if (sw_file_read(&run.base[i].text, &run.base[i].size, argv[3 + i], SW_FILE_MOST_PROGRAM,
                         &ctx) != SW_OK)
            return 3;
    }
    int result = is_whole ? 0 : judge_all(&run);
    if (result == 0)
        result = attend(&run, is_whole);
    sw_diag_free(diag);
    sw_arena_free(arena);
    return result;
}
