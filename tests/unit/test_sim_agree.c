/* The chain kernel against itself and against the region kernel on random programs.
 *
 * Without a number few programs are tried, so that the test stays short; `test_sim_agree N [FIRST]`
 * tries the programs of N seeds from FIRST on. A failure is shrunk to the moves that make it and
 * printed with its seed.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "sim/chain_int.h"
#include "support/cuts.h"
#include "support/near.h"
#include "support/plain.h"

/* Curves nearer than a snap are one: over the three millimetres or so two borders may share. */
#define AREA_ERROR (5 * SW_TOL_SNAP)
/* Ends of what two ways of cutting take [mm]: curves that part by less than a snap while they run
 * so far under the smallest angle at which meetings count leave it open where they meet. */
#define MOST_APART (SW_TOL_SNAP / 1e-4)

static size_t n_programs = 240;
static uint64_t seed_now;
static size_t n_slips; /* of the referee, found by a third opinion */
static uint64_t first_seed = 1;

struct verdict {
    const char *fault; /* NULL: none */
    double value;
    size_t move;
};

struct trial {
    struct sw_ctx ctx;
    const struct sw_work_class *kernel;
    struct sw_work *work;
    struct sw_outline *tool;
};

static void trial_init(struct trial *t, const struct sw_work_class *kernel,
                       const struct sw_cuts *cuts)
{
    *t = (struct trial){.ctx = sw_test_ctx(), .kernel = kernel};
    assert_int_equal(kernel->make(&t->work, &t->ctx), SW_OK);
    assert_int_equal(kernel->outline(&t->tool, t->work, &cuts->tool), SW_OK);
    assert_int_equal(kernel->fill_rod(t->work, -SW_CUTS_ROD_LENGTH, 0, SW_CUTS_ROD_RADIUS,
                                      -SW_CUTS_ROD_LENGTH + 0.5),
                     SW_OK);
}

static void trial_done(struct trial *t)
{
    t->kernel->free(t->work);
    sw_test_ctx_free(&t->ctx);
}

static double body_area(const struct sw_chain_body *body)
{
    double twice = 0;
    const struct sw_pt o = {-3, 0.5};
    for (size_t i = 0; i < body->links.n; i++) {
        const struct sw_chain_link *link = &body->links.at[i];
        if (link->leaf != SW_CHAIN_NONE)
            twice += sw_chain_edge_twice_area(&link->edge, link->edge.a, link->edge.b, o);
    }
    return twice / 2;
}

static bool is_tree_sound(const struct sw_chain_body *body, int at, int parent, size_t *n)
{
    const struct sw_chain_node *node = &body->nodes.at[at];
    if (node->parent != parent)
        return false;
    if (node->height == 0) {
        (*n)++;
        return body->links.at[node->link].leaf == at;
    }
    const struct sw_chain_node *left = &body->nodes.at[node->left];
    const struct sw_chain_node *right = &body->nodes.at[node->right];
    const int lean = left->height - right->height;
    return lean >= -1 && lean <= 1 && node->box.z0 == fmin(left->box.z0, right->box.z0) &&
           node->box.r1 == fmax(left->box.r1, right->box.r1) &&
           is_tree_sound(body, node->left, at, n) && is_tree_sound(body, node->right, at, n);
}

static const char *body_fault(const struct sw_chain_body *body)
{
    size_t n = 0, n_leaves = 0;
    for (size_t i = 0; i < body->links.n; i++) {
        const struct sw_chain_link *link = &body->links.at[i];
        if (link->leaf == SW_CHAIN_NONE)
            continue;
        n++;
        if (link->local != SW_CHAIN_NONE)
            return "a link still has a local number";
        const struct sw_chain_link *next = &body->links.at[link->next];
        if (next->prev != (int)i || next->leaf == SW_CHAIN_NONE)
            return "links are not joined both ways";
        if (next->edge.a.z != link->edge.b.z || next->edge.a.r != link->edge.b.r)
            return "links have a gap";
        if (sw_chain_edge_off(&link->edge, link->edge.a) > 3 * SW_TOL_SNAP ||
            sw_chain_edge_off(&link->edge, link->edge.b) > 3 * SW_TOL_SNAP)
            return "an end is off its curve";
    }
    if (n != body->n_links)
        return "links are lost";
    if (body->root == SW_CHAIN_NONE)
        return n == 0 ? NULL : "no tree";
    if (!is_tree_sound(body, body->root, SW_CHAIN_NONE, &n_leaves) || n_leaves != n)
        return "the tree is not sound";
    return NULL;
}

/* Every move by itself: boundaries stay closed, and what is said to be gone is what is missing. */
static struct verdict judge_alone(const struct sw_cuts *cuts, size_t *n_nudged)
{
    struct trial t;
    struct verdict verdict = {NULL, 0, 0};
    trial_init(&t, &sw_work_chain, cuts);
    struct sw_chain *chain = sw_chain_of(t.work);
    for (size_t i = 0; i < cuts->n && verdict.fault == NULL; i++) {
        double before[2], fallen[2] = {0, 0};
        for (int k = 0; k < 2; k++)
            before[k] = body_area(&chain->body[chain->differs ? k : 1]);
        struct sw_removed removed;
        verdict.move = i;
        if (t.kernel->remove(&removed, t.work, t.tool, &cuts->sweep[i]) != SW_OK) {
            verdict.fault = "a cut fails";
            break;
        }
        const double area[2] = {removed.area_least, removed.area_most};
        for (int k = 0; k < 2 && verdict.fault == NULL; k++) {
            const struct sw_chain_body *body = &chain->body[chain->differs ? k : 1];
            verdict.fault = body_fault(body);
            const double missing = before[k] - body_area(body) - fallen[k];
            if (verdict.fault == NULL && fabs(missing - area[k]) > AREA_ERROR) {
                verdict.fault = "area is not accounted for";
                verdict.value = missing - area[k];
            }
        }
        struct sw_loose *loose = NULL;
        size_t n = 0;
        if (verdict.fault == NULL && removed.may_part &&
            t.kernel->loosen(&loose, &n, t.work, -SW_CUTS_ROD_LENGTH + 0.5) != SW_OK)
            verdict.fault = "a fall fails";
    }
    *n_nudged += chain->n_nudged;
    trial_done(&t);
    return verdict;
}

typedef struct verdict (*judge_of)(const struct sw_cuts *cuts, size_t *count);
typedef bool (*make_of)(struct sw_cuts *out, uint64_t seed, size_t n, struct sw_arena *arena);

/* What a cut says of itself, done by rolling on and the general way, must be the same: its area,
 * its depth, where it is thick. */
static const char *said_otherwise(const struct sw_removed *a, const struct sw_removed *b,
                                  struct trial *one, struct trial *other, double *by)
{
    *by = a->area_most - b->area_most;
    if (fabs(*by) > AREA_ERROR)
        return "areas differ";
    if (!(a->area_most > AREA_ERROR) || !(b->area_most > AREA_ERROR))
        return NULL;
    const struct sw_cut_profile p = *one->kernel->profile(one->work);
    const struct sw_cut_profile q = *other->kernel->profile(other->work);
    double sum = 0;
    for (size_t i = 0; i < p.n; i++)
        sum += p.thick[i] * p.width;
    *by = a->area_most - sum;
    if (fabs(*by) > AREA_ERROR)
        return "the profile is not the area";
    *by = fabs(p.back - q.back) + fabs(p.low - q.low) + fabs(p.high - q.high);
    return *by > MOST_APART ? "profiles reach elsewhere" : NULL;
}

static struct verdict judge_rolling(const struct sw_cuts *cuts, size_t *n_rolled)
{
    struct trial rolls, plods;
    struct verdict verdict = {NULL, 0, 0};
    trial_init(&rolls, &sw_work_chain, cuts);
    trial_init(&plods, &sw_work_chain, cuts);
    sw_chain_of(plods.work)->never_rolls = true;
    for (size_t i = 0; i < cuts->n && verdict.fault == NULL; i++) {
        struct sw_removed one, other;
        verdict.move = i;
        if (rolls.kernel->remove(&one, rolls.work, rolls.tool, &cuts->sweep[i]) != SW_OK ||
            plods.kernel->remove(&other, plods.work, plods.tool, &cuts->sweep[i]) != SW_OK) {
            verdict.fault = "a cut fails";
            break;
        }
        const struct sw_chain_body *body = &sw_chain_of(rolls.work)->body[SW_WORK_MOST];
        verdict.fault = body_fault(body);
        if (verdict.fault == NULL)
            verdict.fault = said_otherwise(&one, &other, &rolls, &plods, &verdict.value);
        struct trial *both[2] = {&rolls, &plods};
        for (int k = 0; k < 2 && verdict.fault == NULL && (one.may_part || other.may_part); k++) {
            struct sw_loose *loose = NULL;
            size_t n = 0;
            assert_int_equal(
                both[k]->kernel->loosen(&loose, &n, both[k]->work, -SW_CUTS_ROD_LENGTH + 0.5),
                SW_OK);
        }
        verdict.value =
            verdict.fault != NULL && verdict.value != 0
                ? verdict.value
                : body_area(body) - body_area(&sw_chain_of(plods.work)->body[SW_WORK_MOST]);
        if (verdict.fault == NULL && fabs(verdict.value) > AREA_ERROR)
            verdict.fault = "what is left differs";
    }
    *n_rolled += sw_chain_of(rolls.work)->n_rolled;
    trial_done(&rolls);
    trial_done(&plods);
    return verdict;
}

/* Leave out what the fault does not need. */
static void shrink(struct sw_cuts *cuts, const char *fault, judge_of judge)
{
    size_t count = 0;
    for (size_t run = cuts->n / 2; run > 0; run /= 2)
        for (size_t i = 0; i + run <= cuts->n;) {
            struct sw_cuts less = *cuts;
            for (size_t k = i + run; k < cuts->n; k++)
                less.sweep[k - run] = cuts->sweep[k];
            less.n = cuts->n - run;
            if (judge(&less, &count).fault == fault)
                *cuts = less;
            else
                i += run;
        }
}

/* MAY_EXCUSE (or NULL): is a shrunk fault the other side's? */
static void try_all(judge_of judge, make_of make, bool (*may_excuse)(const struct sw_cuts *),
                    size_t n, size_t n_moves, const char *what)
{
    size_t n_faults = 0, count = 0;
    for (uint64_t seed = first_seed; seed < first_seed + n; seed++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_cuts cuts;
        assert_true(make(&cuts, seed, n_moves, ctx.arena));
        seed_now = seed;
        struct verdict verdict = judge(&cuts, &count);
        if (verdict.fault != NULL) {
            const struct sw_cuts whole = cuts;
            shrink(&cuts, verdict.fault, judge);
            if (may_excuse == NULL || !may_excuse(&cuts)) {
                n_faults++;
                print_error("%s at move %zu of %zu: %.3g\n", verdict.fault, verdict.move, whole.n,
                            verdict.value);
                sw_cuts_print(&cuts);
            }
        }
        assert_true(n_faults < 10);
        sw_test_ctx_free(&ctx);
    }
    print_message("seeds %llu to %llu: %zu programs, %zu faults; %zu %s\n",
                  (unsigned long long)first_seed, (unsigned long long)(first_seed + n - 1), n,
                  n_faults, count, what);
    assert_int_equal(n_faults, 0);
}

static void boundaries_stay_closed_and_areas_add_up(void **state)
{
    (void)state;
    try_all(judge_alone, sw_cuts_make, NULL, 10 * n_programs, SW_CUTS_MOST, "cuts moved by a hair");
}

/* The referee's two works hold the exact one between them. What sticks out, by more than chords of
 * the length of the border times the noise of an overlay, is a fault. */
static double sticking_out(const struct sw_region *inner, const struct sw_region *outer)
{
    struct sw_region *out = NULL;
    assert_int_equal(sw_region_minus(&out, inner, outer), SW_OK);
    const double area = sw_region_area(out);
    sw_region_free(out);
    return area;
}

static struct sw_region *region_of(struct trial *t, enum sw_work_which which)
{
    struct sw_region *region = NULL;
    if (t->kernel->region(&region, t->work, which) != SW_OK)
        fail_msg("seed %llu: the region of the %s kernel: %s", (unsigned long long)seed_now,
                 t->kernel->name, sw_test_diagnostics(&t->ctx));
    return region;
}

/* Pieces of the chain's work. */
static size_t n_pieces(struct trial *t)
{
    struct sw_region *most = region_of(t, SW_WORK_MOST);
    const size_t n = sw_region_n_pieces(most);
    sw_region_free(most);
    return n;
}

static struct verdict compare(struct trial *chain, const struct sw_region *least,
                              const struct sw_region *most)
{
    struct verdict verdict = {NULL, 0, 0};
    struct sw_region *exact_least = region_of(chain, SW_WORK_LEAST);
    struct sw_region *exact_most = region_of(chain, SW_WORK_MOST);
    const double missing = sticking_out(least, exact_most);
    const double surplus = sticking_out(exact_least, most);
    if (missing > AREA_ERROR)
        verdict = (struct verdict){"material is missing", missing, 0};
    else if (surplus > AREA_ERROR)
        verdict = (struct verdict){"material is left over", surplus, 0};
    sw_region_free(exact_least);
    sw_region_free(exact_most);
    return verdict;
}

static struct verdict compare_with_referee(struct trial *chain, struct trial *referee)
{
    struct sw_region *least = region_of(referee, SW_WORK_LEAST);
    struct sw_region *most = region_of(referee, SW_WORK_MOST);
    const struct verdict verdict = compare(chain, least, most);
    sw_region_free(least);
    sw_region_free(most);
    return verdict;
}

/* Chords of the third opinion [mm]: twenty times finer than the referee's. */
#define FINE 1e-6

/* When two differ a third decides: every chord of every move taken off one polygon, as it stands in
 * support/plain.h. It lets nothing fall, which a shrunk program hardly does. */
static bool is_slip_of_referee(const struct sw_cuts *cuts)
{
    struct trial chain;
    struct sw_plain least, most;
    const struct sw_box rod = {-SW_CUTS_ROD_LENGTH, 0, 0, SW_CUTS_ROD_RADIUS};
    trial_init(&chain, &sw_work_chain, cuts);
    assert_int_equal(sw_plain_init(&least, &cuts->tool, rod, FINE, FINE, -1, &chain.ctx), SW_OK);
    assert_int_equal(sw_plain_init(&most, &cuts->tool, rod, FINE, FINE, 1, &chain.ctx), SW_OK);
    for (size_t i = 0; i < cuts->n; i++) {
        struct sw_removed removed;
        assert_int_equal(sw_plain_cut(&least, &cuts->sweep[i]), SW_OK);
        assert_int_equal(sw_plain_cut(&most, &cuts->sweep[i]), SW_OK);
        assert_int_equal(chain.kernel->remove(&removed, chain.work, chain.tool, &cuts->sweep[i]),
                         SW_OK);
    }
    const bool agrees = compare(&chain, least.left, most.left).fault == NULL;
    sw_plain_done(&least);
    sw_plain_done(&most);
    trial_done(&chain);
    n_slips += agrees;
    return agrees;
}

/* Crumbs smaller than this [mm3] are rounding: a ring round the rod of a twentieth of a mm by a
 * twentieth of the referee's resolution. */
#define CRUMB 1e-6
/* What is thinner than this along the axis [mm], twice the resolution, hangs or falls as one sees
 * it. */
#define HAIR 1e-4

struct fall {
    bool is_alike;
    size_t n_referee; /* pieces, crumbs too */
};

/* Let fall what is loose in both: as many pieces, as large together? */
static struct fall loosen_both(struct trial *chain, struct trial *referee)
{
    struct sw_loose *loose[2] = {NULL, NULL};
    size_t n[2] = {0, 0}, n_large[2] = {0, 0};
    const double held = -SW_CUTS_ROD_LENGTH + 0.5;
    struct trial *trial[2] = {chain, referee};
    double volume[2] = {0, 0};
    for (int i = 0; i < 2; i++) {
        assert_int_equal(trial[i]->kernel->loosen(&loose[i], &n[i], trial[i]->work, held), SW_OK);
        for (size_t k = 0; k < n[i]; k++) {
            volume[i] += loose[i][k].volume;
            n_large[i] += loose[i][k].volume > CRUMB;
        }
    }
    const bool is_alike = n_large[0] == n_large[1] && fabs(volume[0] - volume[1]) <= 1e-3;
    return (struct fall){is_alike, n[1]};
}

static size_t n_pieces_without_hair(const struct sw_region *region)
{
    struct sw_region *moved[2] = {NULL, NULL}, *both = NULL;
    for (int i = 0; i < 2; i++)
        assert_int_equal(sw_region_place(&moved[i], region, 1, i ? HAIR / 2 : -HAIR / 2), SW_OK);
    assert_int_equal(sw_region_both(&both, moved[0], moved[1]), SW_OK);
    const size_t n = sw_region_n_pieces(both);
    for (int i = 0; i < 2; i++)
        sw_region_free(moved[i]);
    sw_region_free(both);
    return n;
}

/* Pieces of the referee's work that hang together by a hair or a point: its two works differ in
 * them, or what is without hairs does. */
struct hung {
    bool by_hair;
    size_t n; /* pieces of what is surely there at most */
};

static struct hung hung_of(struct trial *referee)
{
    struct sw_region *least = region_of(referee, SW_WORK_LEAST);
    struct sw_region *most = region_of(referee, SW_WORK_MOST);
    struct hung hung = {.n = sw_region_n_pieces(most)};
    hung.by_hair = sw_region_n_pieces(least) != hung.n || n_pieces_without_hair(most) != hung.n;
    sw_region_free(least);
    sw_region_free(most);
    return hung;
}

static struct verdict judge_beside_referee(const struct sw_cuts *cuts, size_t *n_moves)
{
    struct trial chain, referee;
    struct verdict verdict = {NULL, 0, 0};
    trial_init(&chain, &sw_work_chain, cuts);
    trial_init(&referee, &sw_work_regions, cuts);
    bool goes_on = true;
    for (size_t i = 0; i < cuts->n && goes_on && verdict.fault == NULL; i++) {
        struct sw_removed removed[2];
        bool touches[2] = {false, false};
        struct trial *trial[2] = {&chain, &referee};
        for (int k = 0; k < 2 && goes_on; k++) {
            struct trial *t = trial[k];
            goes_on =
                t->kernel->touches(&touches[k], NULL, t->work, t->tool, &cuts->sweep[i]) == SW_OK &&
                t->kernel->remove(&removed[k], t->work, t->tool, &cuts->sweep[i]) == SW_OK;
            if (!goes_on)
                verdict = (struct verdict){k == 0 ? "the chain fails" : "the referee fails", 0, i};
        }
        (*n_moves)++;
        if (goes_on && (removed[0].may_part || removed[1].may_part)) {
            const struct hung hung = hung_of(&referee);
            const struct fall fall = loosen_both(&chain, &referee);
            if (!fall.is_alike) {
                goes_on = false;
                /* pieces that touch in a point are apart, and held all the same */
                if (!hung.by_hair && fall.n_referee + 1 == hung.n)
                    verdict = (struct verdict){"other pieces fall", 0, i};
            }
        }
        if (goes_on && touches[0] != touches[1] &&
            fmax(removed[0].area_most, removed[1].area_most) > 1e-3)
            verdict = (struct verdict){"one kernel feels a contact", touches[0], i};
        if (goes_on && verdict.fault == NULL && i % 5 == 4)
            verdict = compare_with_referee(&chain, &referee);
        verdict.move = i;
    }
    if (goes_on && verdict.fault == NULL)
        verdict = compare_with_referee(&chain, &referee);
    if (goes_on && verdict.fault == NULL && n_pieces(&chain) != 1 && !hung_of(&referee).by_hair &&
        n_pieces(&referee) != n_pieces(&chain))
        verdict = (struct verdict){"other pieces are left", (double)n_pieces(&chain), cuts->n};
    trial_done(&chain);
    trial_done(&referee);
    return verdict;
}

static void a_move_that_rolls_on_takes_what_any_other_does(void **state)
{
    (void)state;
    try_all(judge_rolling, sw_cuts_make_short, NULL, 3 * n_programs, SW_CUTS_MOST, "moves rolled");
}

static void the_referee_agrees(void **state)
{
    (void)state;
    try_all(judge_beside_referee, sw_cuts_make, is_slip_of_referee, n_programs, 40, "moves");
    print_message("in %zu of them the referee was found wrong by a third opinion\n", n_slips);
    /* more would mean that nobody knows */
    assert_true(n_slips <= 1 + n_programs / 100);
}

int main(int argc, char **argv)
{
    if (argc > 1)
        n_programs = strtoull(argv[1], NULL, 10);
    if (argc > 2)
        first_seed = strtoull(argv[2], NULL, 10);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(boundaries_stay_closed_and_areas_add_up),
        cmocka_unit_test(a_move_that_rolls_on_takes_what_any_other_does),
        cmocka_unit_test(the_referee_agrees),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
