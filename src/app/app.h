/* app: one job end to end, and the judging of programs from wherever they come.
 *
 * Maker and judge meet here: job -> staff, shop, post -> shape -> plan -> moves -> program texts
 * and setup record; then these very texts are read by ncread with the record as text, judged by
 * verify, and only what passed is written. Everything lives in the context given.
 * Statuses: what the stages return; SW_FOUND when a judged program fails; SW_INTERNAL when a
 * program of our own fails its own dry run (the verdict is given all the same).
 */
#ifndef SW_APP_APP_H
#define SW_APP_APP_H

#include "draw/draw.h"
#include "fit/fit.h"
#include "fit/size.h"
#include "gauge/correct.h"
#include "moves/moves.h"
#include "plan/plan.h"
#include "report/json.h"
#include "report/trial.h"
#include "setup/setup.h"
#include "shop/job.h"
#include "verify/verify.h"

/** What one run of the program knows. */
struct sw_app {
    const char *version;
    struct sw_search search; /* profile roots */
    bool by_referee;         /* dryrun: judge with the slower of the two removal kernels */
    bool hardened;           /* of a job that hardens: what is cut of the hardened blank */
};

/** A text with its name. */
struct sw_app_text {
    const char *name;
    const char *text;
    size_t size;
};

enum { SW_APP_SIDES = 2 }; /* as in struct sw_plan */

/** The staff that a job with `harden` turns soft, in the folder that make writes. */
#define SW_APP_BLANK_FILE SW_MOVES_BLANK_FILE

/** What a job that hardens is made by way of. */
struct sw_app_hardening {
    struct sw_app_text text;           /* of the blank's staff file */
    const struct sw_job *job;          /* as written */
    const struct sw_staff *staff;      /* the staff that is wanted in the end, */
    const struct sw_shape *shape;      /* as the finish leaves it, */
    const struct sw_plan_blank *blank; /* and what that begins with */
};

/** A job on its way; members are set stage by stage. */
struct sw_work {
    const struct sw_job *job;
    const struct sw_staff *staff;
    const char *shop_path;
    const struct sw_shop *shop;
    const struct sw_post *post;
    const struct sw_shape *shape;
    const struct sw_plan *plan;
    struct sw_post_programs programs[SW_APP_SIDES];
    struct sw_setup *setup;
    struct sw_verdict *verdict;
    bool explains; /* as was asked of its plan */
    /* A job that hardens; NULL: it does not. STAFF and SHAPE are the blank's or the finished
     * staff's, as app->hardened has it. */
    const struct sw_app_hardening *hardening;
    const struct sw_plan_blank *blank; /* what is cut is this, hardened; NULL: a rod */
};

/** Read a job and all it names; check the dialect against the machine; build the shape. All that
 *  can be read is read before the first fault is returned. */
enum sw_status sw_app_load_job(struct sw_work *work, const char *path, const struct sw_app *app,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same with the staff given as a TEXT called NAME; NULL: as the job says. FOLDER: where what
 * is made will stand. */
enum sw_status sw_app_load_job_of(struct sw_work *work, const char *path, const char *name,
                                  const char *text, size_t size, const char *folder,
                                  const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Of a job that hardens: work out its blank, and put it in the place of the staff, or what is made
 * of it when it is hard (app->hardened). SW_INPUT where a job that does not is to be finished hard.
 */
enum sw_status sw_app_load_blank(struct sw_work *work, const char *folder, const struct sw_app *app,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** Plan, write and judge the finish of a job's blank in memory; SW_CANNOT with the reasons when it
 *  cannot be made. FOLDER as with sw_app_write_job. */
enum sw_status sw_app_try_hardened(const struct sw_work *work, const char *folder,
                                   const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Fill in what a record that begins with a hardened blank names: its outlines as grown, its
 * material. FOLDER: where the record stands; TEXT (NULL: its file) is the blank's. STAFF: the one
 * it becomes. */
enum sw_status sw_app_resolve_blank(struct sw_setup *setup, const struct sw_app_text *text,
                                    const char *folder, const struct sw_staff *staff,
                                    const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** A batch of blanks is made by nobody: SW_INPUT at the job's line. */
enum sw_status sw_app_refuse_blanks(const char *job, struct sw_ctx *ctx) SW_MUST_CHECK;

/** What is asked of a plan beyond itself. */
struct sw_app_asks {
    bool advice;   /* on warnings too: takes as long as some ten plans */
    bool explains; /* every pass by what stands at its moment: takes as long as a plan */
};

/** Plan it; what advice may propose is taken from the profiles. ASKS may be NULL. */
enum sw_status sw_app_plan_job(struct sw_work *work, const struct sw_app_asks *asks,
                               const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Read all tools and materials of the profiles; those that do not read are passed over. */
enum sw_status sw_app_gather_aids(struct sw_plan_aids *aids, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write programs and setup record (in memory). FOLDER: where the record will stand; the files it
 *  names are given as seen from there. */
enum sw_status sw_app_write_job(struct sw_work *work, const char *folder, const struct sw_app *app,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** Name staff and shop in a record as they are seen from FOLDER. */
enum sw_status sw_app_name_setup(struct sw_setup *setup, const struct sw_work *work,
                                 const char *folder, const struct sw_app *app,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** All programs of a written job, in the order they run. */
enum sw_status sw_app_program_texts(struct sw_app_text **out, size_t *n, const struct sw_work *work,
                                    struct sw_ctx *ctx) SW_MUST_CHECK;

/** Read one program text, the one that stands at place PROGRAM of the setup's order of work. SW_OK
 *  also when the text is wrong; OUT says so. */
enum sw_status sw_app_read_program(struct sw_verify_program *out, const struct sw_app_text *text,
                                   size_t program, const struct sw_setup *setup,
                                   const struct sw_shop *shop, struct sw_ctx *ctx) SW_MUST_CHECK;

enum sw_app_judging {
    SW_APP_JUDGE,
    SW_APP_JUDGE_BY_LINE,    /* what each line does is kept (verify/verify.h) */
    SW_APP_JUDGE_BY_REFEREE, /* the work is cut by the region kernel (sim/work.h) */
};

/** Read N program texts by the setup's sides and judge them. SHAPE may be NULL. SW_OK also when the
 *  verdict is "fail". */
enum sw_status sw_app_judge(struct sw_verdict **out, const struct sw_app_text *text, size_t n,
                            const struct sw_setup *setup, const struct sw_shop *shop,
                            const struct sw_shape *shape, enum sw_app_judging how,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Judge a run (setup/setup.h): its N program TEXTs, and what its pieces' own records name, as seen
 *  from FOLDER where the run's record stands. BY_REFEREE: as SW_APP_JUDGE_BY_REFEREE. */
enum sw_status sw_app_judge_run(struct sw_verdict **out, const struct sw_app_text *text, size_t n,
                                const struct sw_setup *setup, const char *folder,
                                const struct sw_shop *shop, bool by_referee,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** What make should do. */
struct sw_app_make {
    const char *job;    /* file */
    const char *folder; /* output folder */
    bool writes;        /* false: all stages, but nothing is written */
    bool force;         /* files of others with our names may be replaced */
    /* Not NULL: the staff is this text in place of the job's file, and goes into the folder. */
    const char *staff;
    size_t staff_size;
    bool no_pdf;     /* sheet.pdf and drawing.pdf are left out */
    bool explains;   /* its passes will be printed */
};

/** Make a job. The verdict comes back in WORK even with SW_INTERNAL. */
enum sw_status sw_app_make(struct sw_work *work, const struct sw_app_make *make,
                           const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** What dryrun should judge: program files with a job or a setup record, or with a shop and a rod,
 *  or one folder that make wrote (nothing but one path). */
struct sw_app_dryrun {
    const char *const *path;
    size_t n;
    const char *job;     /* NULL: none */
    const char *setup;   /* NULL: none */
    const char *shop;    /* programs nobody planned: file or name, with STOCK; NULL: none */
    const char *stock;   /* "D,L": diameter and length out of the holder [mm] */
    const char *holder;  /* NULL: the first that takes the rod */
    const char *tools;   /* "1,3": the stations of the programs, with SHOP; NULL: they bring them */
    const char *spindle; /* "4000,M4": how hands set it, with SHOP; NULL: the programs do */
};

/** Judge programs. JSON gets dryrun.json when it is not NULL. SW_FOUND: the verdict is "fail". */
enum sw_status sw_app_dryrun(struct sw_verdict **out, struct sw_buf *json,
                             const struct sw_app_dryrun *dryrun, const struct sw_app *app,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** What batch should do. PROGRESS may be NULL; it is called by one thread at a time. */
struct sw_app_batch {
    const char *file;
    const char *folder;
    const char *log; /* measurements/1 whose figures the forecast takes; NULL: none */
    size_t jobs;     /* threads, 1 at least */
    bool draws;      /* sheet.pdf and drawing.pdf in each folder */
    bool force;
    /* Told from any thread, one at a time, OF what so many are done ("variants", then "bars");
     * NULL: nobody wants to know. */
    void (*progress)(size_t done, size_t all, const char *of, void *user);
    void *user;
};

/** Make all variants of a batch; TEXT gets bar plan, run sheet, forecast and the table of variants,
 *  and so does batch.txt in the folder. A variant whose record proves the same inputs and files is
 *  kept. The worst status of all variants comes back. */
enum sw_status sw_app_batch(struct sw_buf *text, const struct sw_app_batch *batch,
                            const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Check one file of any kind; TEXT gets what there is to say about it, OUT the same in short.
 *  MACHINE (name or file, NULL: none): a dialect is tried on it, see sw_app_try_post. */
enum sw_status sw_app_check(struct sw_report_checked *out, struct sw_buf *text, const char *path,
                            const char *machine, const struct sw_app *app,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Try a dialect without a part: write the built-in trial path in it, read the text back by the
 *  MACHINE's `control:` facts and compare. SW_FOUND: the text does not mean what was asked (OUT
 * says where); SW_CANNOT with diagnostics, and no OUT: dialect and control do not go together. */
enum sw_status sw_app_try_post(struct sw_trial **out, const struct sw_post *post,
                               const char *machine, const struct sw_app *app,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** What size worked out. */
struct sw_app_size {
    struct sw_sizing *sizing;
    struct sw_staff *staff; /* as written; NULL when nothing could be */
    struct sw_fit *fit;     /* NULL with STAFF */
    const char *written;    /* the file; NULL when none was */
};

/** Work out a staff from a survey; write it to FILE when that is not NULL ("-": to TEXT, which
 *  gets the staff file itself). SW_FOUND, and nothing is written: something essential is missing,
 *  readings contradict each other, or the staff would not fit; OUT says what. */
enum sw_status sw_app_size(struct sw_app_size *out, struct sw_buf *text, const char *survey,
                           const char *file, struct sw_ctx *ctx) SW_MUST_CHECK;

/** What correct found: the job made anew in memory, and its tools by the readings. */
struct sw_app_correct {
    struct sw_work work;
    struct sw_correction correction;
};

/** Hold the readings of a measured/1 file against what the job's own programs leave. Nothing is
 *  written. */
enum sw_status sw_app_correct(struct sw_app_correct *out, const char *job, const char *measured,
                              const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** A finishing program for the last piece of FOUND where it came out too thick on its second side,
 * put into FOLDER with record and sheet when it passed its dry run. SAYS gets what was written.
 * SW_OK and not *IS_WRITTEN: nothing is too thick. SW_CANNOT with the reason: the piece cannot be
 * saved so. */
enum sw_status sw_app_again(struct sw_buf *says, bool *is_written,
                            const struct sw_app_correct *found, const char *folder, bool force,
                            const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Append what was found to the log PATH, made when it is not there; written aside and renamed,
 * what stands in it kept. MEASURED names the set. SAYS gets how many readings were added. */
enum sw_status sw_app_log(struct sw_buf *says, const char *path, const char *measured,
                          const struct sw_app_correct *found, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Has PATH the suffix of a drawing? SW_USAGE with a diagnostic otherwise. */
enum sw_status sw_app_check_picture(const char *path, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write a drawing by the suffix of PATH. A PDF takes all pages; of the other forms each page is a
 *  file of its own, NAME-1.svg and so on, unless there is only one. SAYS gets what was written. */
enum sw_status sw_app_write_picture(struct sw_buf *says, const char *path,
                                    const struct sw_drawing *drawing,
                                    struct sw_ctx *ctx) SW_MUST_CHECK;

/** What draw should do. */
struct sw_app_draw {
    const char *path;   /* a staff or a job */
    const char *output; /* its suffix says the form: .pdf, .svg, .png */
    const char *page;   /* number or name of the only page wanted; NULL: all */
};

/** Draw a staff or a job (planned, not judged). A PDF takes all pages; of the other forms each page
 *  is a file of its own, NAME-1.svg and so on, unless there is only one. SAYS gets what was
 * written. SW_FOUND: the staff does not fit its parts, and was drawn all the same. */
enum sw_status sw_app_draw(struct sw_buf *says, const struct sw_app_draw *draw,
                           const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** List what the profiles hold of a KIND ("tools", "posts", ...): name and one line each. What
 * could be read is listed whatever comes back. */
enum sw_status sw_app_list(struct sw_report_items *out, const char *kind, const struct sw_app *app,
                           struct sw_ctx *ctx) SW_MUST_CHECK;

/** A program carries the digest of its own text in its head, as a comment line of its own,
 *  "(sha256 9f86...)" or ";sha256 9f86...": the SHA-256 of all its other bytes. Anybody can verify
 * it: grep -vE '^[(;]sha256 [0-9a-f]{64}[)]?$' side-1.nc | sha256sum A dialect without comments, or
 * whose lines are too short, has none.
 *
 *  Note that this shall stand in the head of PATH. */
enum sw_status sw_app_digest_note(struct sw_path *path, const struct sw_post *post,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;
/** Put the digests into programs written from such a path. */
enum sw_status sw_app_digest_fill(struct sw_post_programs *programs,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;
/** Does a text say a digest that is not its own, or more than one? Programs from elsewhere say
 * none. */
enum sw_status sw_app_digest_differs(bool *out, const struct sw_app_text *text,
                                     struct sw_ctx *ctx) SW_MUST_CHECK;

/** SHA-256 of a text, 64 hexadecimal digits in the context. */
enum sw_status sw_app_sha256(const char **out, const char *text, size_t size,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** SHA-256 of texts, one each. */
enum sw_status sw_app_hash_texts(struct sw_report_hash **out, const struct sw_app_text *text,
                                 size_t n, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
