/* "Tell it: tarn ack 41 …": what the sheet of each kind asks for. */
#include "daemon/core/sheet/worksheet_make.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_deed.h"

static void assert_asks(struct deed_fixture *f, enum task_kind kind, size_t n, const char *want)
{
    struct worksheet sheet;
    char line[200];
    bool said = false;

    a_task(f, kind, n);
    if (kind == TASK_FILL) {
        f->job[0].subject = (struct subject){SUBJECT_RESERVOIR, 0};
    } else if (kind == TASK_CALIBRATE) {
        f->job[0].subject = (struct subject){SUBJECT_METER, n - 1}; /* the pH pen, the EC pen */
        f->task.n_jobs = 1;
    }
    worksheet_make(&f->room, &f->s, &f->task, at(40, 10), &sheet);
    (void)snprintf(line, sizeof line, "Tell it: tarn ack 41%s", want);
    for (size_t i = 0; i < sheet.n; i++) {
        said = said || strcmp(sheet.step[i].text, line) == 0;
    }
    if (!said) {
        fail_msg("wanted '%s', and the sheet of %s ends: %s", line, task_words[kind],
                 sheet.step[sheet.n - 1].text);
    }
    worksheet_deinit(&sheet);
}

static void each_sheet_asks_for_the_figures_of_its_kind(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    assert_asks(f, TASK_CHECK, 1, " float=yes (or float=no, or volume=…)");
    assert_asks(f, TASK_CHECK, 2, " A1 float=yes A2 float=no volume=…");
    assert_asks(f, TASK_CHANGE, 2, " was=… ec=… ph=… volume=… added=… PRODUCT=…mL");
    assert_asks(f, TASK_BUMP, 1, " was=… ec=… ph=…");
    assert_asks(f, TASK_BUMP, 2, " A1 was=… ec=… ph=… A2 was=… ec=… ph=…");
    assert_asks(f, TASK_PH, 1, " ph=… PRODUCT=…mL");
    assert_asks(f, TASK_READ, 1, " ec=… ph=…"); /* on the float: the level is known */
    assert_asks(f, TASK_READ, 2, " A1 ec=… ph=… A2 ec=… ph=…");
    assert_asks(f, TASK_FILL, 1, " volume=… added=… ec=… ph=… PRODUCT=…mL");
    assert_asks(f, TASK_CALIBRATE, 1, " slope=…% offset=…mV temp=…");
    assert_asks(f, TASK_CALIBRATE, 2, " slope=…% temp=…"); /* an EC meter has no offset */
    assert_asks(f, TASK_CARE, 1, "");
    assert_asks(f, TASK_HARVEST, 1, " yield=…g");
    assert_asks(f, TASK_HARVEST, 2, " A1 yield=…g A2 yield=…g");
    assert_asks(f, TASK_LOOK, 1, " --note …");
}

static void a_level_that_falls_is_asked_for(void **ctx)
{
    struct deed_fixture *f = *ctx;

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(20, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, with(told_at(ENTRY_STARTED, "A2", "vine", at(20, 9)), FIGURE_EC_MS_CM, 0.7));
    assert_asks(f, TASK_READ, 1, " ec=… ph=… volume=…");
    assert_asks(f, TASK_READ, 2, " A1 ec=… ph=… volume=… A2 ec=… ph=…");
}

static void a_start_is_asked_for_at_large(void **ctx)
{
    struct deed_fixture *f = *ctx;

    assert_asks(f, TASK_START, 1, " was=… ec=… ph=… PRODUCT=…mL");
    assert_asks(f, TASK_START, 2, " was=… ec=… ph=… PRODUCT=…mL");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        DEED_TEST(each_sheet_asks_for_the_figures_of_its_kind),
        DEED_TEST(a_level_that_falls_is_asked_for),
        DEED_TEST(a_start_is_asked_for_at_large),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
