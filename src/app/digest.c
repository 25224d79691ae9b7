/* The digest that a program carries in its own head. */
#include "app/app.h"

#include <string.h>

static const char word[] = "sha256 ";
enum { DIGITS = 64, N_WORD = sizeof word - 1 };

/* What stands until the digest is known; no digest is likely to be it. */
static const char blank[] = "0000000000000000000000000000000000000000000000000000000000000000";

/* Where the digits of a digest line begin; NULL: the line is none. */
static const char *digits_of(const char *line, size_t size)
{
    if (size > 0 && line[size - 1] == '\r')
        size--; /* saved by an editor that ends lines so: a digest, and no longer the right one */
    const bool is_bracketed = size > 0 && line[0] == '(';
    if (size != (size_t)(1 + N_WORD + DIGITS + is_bracketed) || (!is_bracketed && line[0] != ';') ||
        (is_bracketed && line[size - 1] != ')') || memcmp(line + 1, word, N_WORD) != 0)
        return NULL;
    const char *digits = line + 1 + N_WORD;
    for (size_t i = 0; i < DIGITS; i++)
        if (!(digits[i] >= '0' && digits[i] <= '9') && !(digits[i] >= 'a' && digits[i] <= 'f'))
            return NULL;
    return digits;
}

/* The digest of a text without its digest lines, how many there are, and where the first one's
 * digits begin. */
static enum sw_status digest_of(const char **out, size_t *n, const char **digits, const char *text,
                                size_t size, struct sw_ctx *ctx)
{
    *n = 0;
    *digits = NULL;
    char *rest = sw_arena_copy(ctx->arena, text, size);
    if (!rest)
        return SW_MEMORY;
    size_t n_rest = 0;
    for (const char *line = text, *const end = text + size; line < end;) {
        const char *stop = memchr(line, '\n', (size_t)(end - line));
        const char *next = stop ? stop + 1 : end;
        const char *found = digits_of(line, (size_t)((stop ? stop : end) - line));
        if (found && (*n)++ == 0)
            *digits = found;
        if (!found) {
            memcpy(rest + n_rest, line, (size_t)(next - line));
            n_rest += (size_t)(next - line);
        }
        line = next;
    }
    *out = "";
    return *n > 0 ? sw_app_sha256(out, rest, n_rest, ctx) : SW_OK;
}

enum sw_status sw_app_digest_note(struct sw_path *path, const struct sw_post *post,
                                  struct sw_ctx *ctx)
{
    if (sw_post_comment_room(post) < N_WORD + DIGITS)
        return SW_OK;
    const char **head = SW_NEW(ctx->arena, const char *, path->n_head + 1);
    const char *note = sw_arena_printf(ctx->arena, "%s%s", word, blank);
    if (!head || !note)
        return SW_MEMORY;
    for (size_t i = 0; i < path->n_head; i++)
        head[i] = path->head[i];
    head[path->n_head++] = note;
    path->head = head;
    return SW_OK;
}

enum sw_status sw_app_digest_fill(struct sw_post_programs *programs, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < programs->n; i++) {
        struct sw_post_program *program = &programs->at[i];
        const char *digest, *digits;
        size_t n;
        SW_TRY(digest_of(&digest, &n, &digits, program->text, program->size, ctx));
        if (n == 0)
            continue; /* the dialect's head takes no notes */
        char *text = sw_arena_copy(ctx->arena, program->text, program->size);
        if (!text)
            return SW_MEMORY;
        memcpy(text + (digits - program->text), digest, DIGITS);
        program->text = text;
    }
    return SW_OK;
}

enum sw_status sw_app_digest_differs(bool *out, const struct sw_app_text *text, struct sw_ctx *ctx)
{
    const char *digest, *digits;
    size_t n;
    SW_TRY(digest_of(&digest, &n, &digits, text->text, text->size, ctx));
    *out = n > 1 || (n == 1 && memcmp(digest, digits, DIGITS) != 0);
    return SW_OK;
}
