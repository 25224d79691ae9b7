/* Whatever allocation fails, reading says so, crashes nowhere and leaks nothing. */
#include <stdlib.h>

#include "spec/emit.h"
#include "spec_fixture.h"

static struct {
    long left;
    bool is_lasting; /* all later ones fail, too */
    long held;
} memory;

static void *resize_or_refuse(void *user, void *block, size_t old_size, size_t new_size)
{
    (void)user;
    if (new_size == 0) {
        memory.held -= block != NULL;
        free(block);
        return NULL;
    }
    const long left = memory.left--;
    if (left == 0 || (left < 0 && memory.is_lasting))
        return NULL;
    void *more = realloc(block, new_size);
    memory.held += old_size == 0 && more;
    return more;
}

/* Arena blocks come from large chunks, so that most requests of a small file reach no allocation; a
 * chunk that is nearly used up makes each of them reach one in turn. */
#ifdef SW_ARENA_PASSTHROUGH
enum { MOST_LEFT = 1 }; /* every block is an allocation already */
#else
enum { MOST_LEFT = 6000 };
#endif

static void use_up(struct sw_arena *arena, size_t left)
{
    enum { CHUNK = 64 * 1024 - 64 };
    sw_arena_alloc(arena, CHUNK - left, 1);
}

static void assert_every_failure_is_survived(const char *text, enum sw_status wanted)
{
    const struct sw_mem_hook hook = {resize_or_refuse, NULL};
    for (int lasting = 0; lasting < 2; lasting++) {
        for (size_t chunk_left = 0; chunk_left < MOST_LEFT; chunk_left += 80) {
            for (long n = 0;; n++) {
                struct part part;
                enum sw_status status = SW_MEMORY;
                memory.left = n;
                memory.is_lasting = lasting;
                memory.held = 0;
                sw_mem_set_hook(&hook);
                struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
                if (ctx.arena && ctx.diag) {
                    use_up(ctx.arena, chunk_left);
                    status = read_part(&part, text, &ctx);
                }
                if (ctx.diag)
                    sw_diag_free(ctx.diag);
                sw_arena_free(ctx.arena);
                sw_mem_set_hook(NULL);
                assert_int_equal(memory.held, 0);
                if (memory.left >= 0) { /* none failed */
                    assert_int_equal(status, wanted);
                    break;
                }
                /* A failure the first chunk of the arena hid from us is no failure of reading. */
                assert_true(status == SW_MEMORY || status == wanted);
                assert_true(n < 2000);
            }
        }
    }
}

static void a_good_file_survives_every_failing_allocation(void **state)
{
    (void)state;
    assert_every_failure_is_survived(part_text, SW_OK);
}

static void a_file_full_of_faults_survives_every_failing_allocation(void **state)
{
    (void)state;
    assert_every_failure_is_survived(
        "format: part/1\n"
        "titel: x\n"
        "length: fre\n"
        "teeth: 2.5\n"
        "taper: 1:100\n"
        "speed: 30000\n"
        "hand: up\n"
        "tolerance: [0.1, -0.1]\n"
        "rim: {height: 3 in, zzz: 3, wall: 0x10}\n"
        "rims: []\n"
        "holes: {upper: {diameter: 5 kg}, lower: 3, third: {diameter: 1/8}}\n"
        "steps: [1, 10, 3 thuo, [1]]\n"
        "parts: [{rim: 3}, {ridge: {}}, rim, {rmi: {}}]\n",
        SW_INPUT);
}

static void a_text_that_is_no_yaml_survives_every_failing_allocation(void **state)
{
    (void)state;
    assert_every_failure_is_survived("format: part/1\na: 1\na: 2\n? [x]\n: 3\nb: [1, 2\n",
                                     SW_INPUT);
    assert_every_failure_is_survived("format: stuff/1\n", SW_INPUT);
    assert_every_failure_is_survived("format: [part/1]\n", SW_INPUT);
}

static void pages_schemas_and_written_yaml_fail_as_buffers_do(void **state)
{
    (void)state;
    const struct sw_mem_hook hook = {resize_or_refuse, NULL};
    for (int what = 0; what < 3; what++) {
        for (long n = 0;; n++) {
            struct sw_buf out = {0};
            struct sw_emit emit = {.out = &out};
            memory.left = n;
            memory.is_lasting = false;
            memory.held = 0;
            sw_mem_set_hook(&hook);
            if (what == 0)
                sw_table_explain(&part_table, &out);
            else if (what == 1)
                sw_table_schema(&part_table, &out);
            else
                for (int i = 0; i < 100; i++)
                    sw_emit_text(&emit, "a key", "a text");
            const bool is_complete = memory.left >= 0;
            assert_int_equal(out.failed, !is_complete);
            sw_buf_done(&out);
            sw_mem_set_hook(NULL);
            assert_int_equal(memory.held, 0);
            if (is_complete)
                break;
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_good_file_survives_every_failing_allocation),
        cmocka_unit_test(a_file_full_of_faults_survives_every_failing_allocation),
        cmocka_unit_test(a_text_that_is_no_yaml_survives_every_failing_allocation),
        cmocka_unit_test(pages_schemas_and_written_yaml_fail_as_buffers_do),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
