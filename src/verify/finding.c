#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "verify/judge.h"

enum { MESSAGE_SIZE = 400 };

static const char *const words[] = {
#define X(name, word, sentence) word,
    SW_FINDING_LIST(X)
#undef X
};

static const char *const sentences[] = {
#define X(name, word, sentence) sentence,
    SW_FINDING_LIST(X)
#undef X
};

const char *sw_finding_word(enum sw_finding_code code)
{
    return words[code];
}

const char *sw_finding_sentence(enum sw_finding_code code)
{
    return sentences[code];
}

enum sw_status sw_verdict_add(struct sw_verdict *verdict, struct sw_finding finding,
                              struct sw_ctx *ctx)
{
    if (!SW_VEC_PUSH(ctx->arena, &verdict->findings, finding))
        return SW_MEMORY;
    if (finding.severity == SW_ERROR)
        verdict->passes = false;
    return SW_OK;
}

struct sw_finding sw_judge_finding(enum sw_finding_code code, enum sw_severity severity)
{
    return (struct sw_finding){.code = code,
                               .severity = severity,
                               .value = (double)NAN,
                               .limit = (double)NAN,
                               .unit = "",
                               .z = (double)NAN};
}

struct sw_finding sw_judge_at(const struct sw_judge *judge, enum sw_finding_code code,
                              enum sw_severity severity, const struct sw_motion_event *event)
{
    struct sw_finding finding = sw_judge_finding(code, severity);
    finding.program = judge->program[judge->program_now].name;
    finding.line = event != NULL ? event->line : 0;
    finding.chucking = (int)judge->sim->n_sides;
    return finding;
}

static bool same_text(const char *a, const char *b)
{
    return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

static bool are_alike(const struct sw_judge_kept *kept, const struct sw_finding *finding, int key)
{
    return kept->key == key && kept->finding.code == finding->code &&
           kept->finding.chucking == finding->chucking &&
           same_text(kept->finding.program, finding->program) &&
           same_text(kept->finding.section, finding->section);
}

enum sw_status sw_judge_add(struct sw_judge *judge, struct sw_finding finding, int key,
                            const char *format, ...)
{
    char text[MESSAGE_SIZE];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    const bool has_size = !isnan(finding.value) && !isnan(finding.limit);
    const double worst = has_size ? fabs(finding.value - finding.limit) : 0;
    for (size_t i = 0; i < judge->kept.n; i++) {
        struct sw_judge_kept *kept = &judge->kept.at[i];
        if (!are_alike(kept, &finding, key))
            continue;
        kept->n++;
        const bool is_graver = finding.severity > kept->finding.severity;
        if (!is_graver && (finding.severity < kept->finding.severity || worst <= kept->worst))
            return SW_OK;
        finding.message = sw_arena_copy(judge->ctx->arena, text, strlen(text));
        if (finding.message == NULL)
            return SW_MEMORY;
        kept->finding = finding;
        kept->worst = worst;
        return SW_OK;
    }
    finding.message = sw_arena_copy(judge->ctx->arena, text, strlen(text));
    const struct sw_judge_kept kept = {finding, key, worst, 1};
    if (finding.message == NULL || !SW_VEC_PUSH(judge->ctx->arena, &judge->kept, kept))
        return SW_MEMORY;
    return SW_OK;
}

static size_t program_index(const struct sw_judge *judge, const char *name)
{
    for (size_t i = 0; i < judge->n_programs; i++)
        if (same_text(judge->program[i].name, name))
            return i;
    return judge->n_programs; /* what concerns the whole comes last */
}

/* Small lists, and the order must not depend on the C library: insertion keeps equals in place. */
static void sort_kept(struct sw_judge *judge)
{
    struct sw_judge_kept *kept = judge->kept.at;
    for (size_t i = 1; i < judge->kept.n; i++) {
        const struct sw_judge_kept one = kept[i];
        const size_t program = program_index(judge, one.finding.program);
        size_t k = i;
        while (k > 0) {
            const size_t before = program_index(judge, kept[k - 1].finding.program);
            if (before < program ||
                (before == program && kept[k - 1].finding.line <= one.finding.line))
                break;
            kept[k] = kept[k - 1];
            k--;
        }
        kept[k] = one;
    }
}

enum sw_status sw_judge_finish(struct sw_judge *judge)
{
    sort_kept(judge);
    for (size_t i = 0; i < judge->kept.n; i++) {
        struct sw_judge_kept *kept = &judge->kept.at[i];
        if (kept->n > 1) {
            const char *more = sw_arena_printf(judge->ctx->arena, "%s (and %zu more like it)",
                                               kept->finding.message, kept->n - 1);
            if (more == NULL)
                return SW_MEMORY;
            kept->finding.message = more;
        }
        SW_TRY(sw_verdict_add(judge->verdict, kept->finding, judge->ctx));
    }
    return SW_OK;
}
