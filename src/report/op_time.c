#include "report/op_time.h"

#include "report/text.h"

struct sw_times sw_report_op_times(const struct sw_plan *plan,
                                   const struct sw_post_programs *programs,
                                   const struct sw_verdict *verdict, size_t side, size_t op)
{
    const struct sw_plan_chucking *chucking = &plan->chucking[side];
    size_t n_before = 0, program = 0;
    if (chucking->op[op].n_passes == 0)
        return (struct sw_times){0};
    for (size_t i = 0; i < op; i++)
        n_before += chucking->op[i].n_passes > 0; /* each of them is one section of a text */
    for (size_t i = 0; i < side; i++)
        program += programs[i].n;
    for (size_t i = 0; i < programs[side].n && program + i < verdict->n_programs; i++) {
        const struct sw_post_program *text = &programs[side].at[i];
        if (n_before >= text->n_sections) {
            n_before -= text->n_sections;
            continue;
        }
        const bool is_last = n_before + 1 == text->n_sections;
        return sw_program_times(&verdict->program[program + i],
                                (uint32_t)text->section_line[n_before],
                                is_last ? 0 : (uint32_t)text->section_line[n_before + 1]);
    }
    return (struct sw_times){0};
}

struct sw_pass_found sw_report_pass_load(const struct sw_plan *plan,
                                         const struct sw_post_programs *programs,
                                         const struct sw_verdict *verdict, size_t side, size_t op,
                                         size_t pass)
{
    const struct sw_plan_chucking *chucking = &plan->chucking[side];
    const struct sw_program_verdict none = {0};
    size_t n_before = pass, program = 0;
    for (size_t i = 0; i < op; i++)
        n_before += chucking->op[i].n_passes;
    for (size_t i = 0; i < side; i++)
        program += programs[i].n;
    for (size_t i = 0; i < programs[side].n && program + i < verdict->n_programs; i++) {
        const struct sw_post_program *text = &programs[side].at[i];
        if (n_before >= text->n_passes) {
            n_before -= text->n_passes;
            continue;
        }
        const bool is_last = n_before + 1 == text->n_passes;
        const struct sw_program_verdict *found = &verdict->program[program + i];
        return (struct sw_pass_found){
            found->file, sw_program_load(found, (uint32_t)text->pass_line[n_before],
                                         is_last ? 0 : (uint32_t)text->pass_line[n_before + 1])};
    }
    return (struct sw_pass_found){NULL, sw_program_load(&none, 0, 0)};
}

struct sw_times sw_report_side_times(const struct sw_verdict *verdict, size_t side)
{
    struct sw_times sum = {0};
    for (size_t i = 0; i < verdict->n_programs; i++) {
        const struct sw_times *time = &verdict->program[i].time;
        if (verdict->program[i].chucking != (int)side + 1)
            continue;
        sum.cutting += time->cutting;
        sum.moving += time->moving;
        sum.changing += time->changing;
        sum.waiting += time->waiting;
    }
    return sum;
}

void sw_report_times(struct sw_buf *out, const struct sw_times *times)
{
    sw_text_seconds(out, times->cutting);
    sw_buf_add(out, " cutting, ");
    sw_text_seconds(out, times->moving);
    sw_buf_add(out, " moving, ");
    sw_text_seconds(out, times->changing);
    sw_buf_add(out, " changing tools, ");
    sw_text_seconds(out, times->waiting);
    sw_buf_add(out, " waiting for the spindle");
}
