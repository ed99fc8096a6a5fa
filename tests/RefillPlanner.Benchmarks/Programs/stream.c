/* Streams the rows that planning needs out of a planner's file, one thread, and touches each value.
 *
 *   stream each  FILE SQL...   one statement after the other
 *   stream merge FILE SQL...   all statements at once, course by course
 *
 * Statements, in order: patients, courses, steps, facts, prescriptions, sharps. The first column of each is the key by which it is
 * ordered (patient; patient; course; course; course; patient), the second column of courses is the course.
 * Prints: milliseconds, rows, courses, a sum over all values. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PATIENTS, COURSES, STEPS, FACTS, PRESCRIPTIONS, SHARPS, TABLES };

static sqlite3 *db;
static sqlite3_stmt *table[TABLES];
static int columns[TABLES];
static int more[TABLES];
static long long rows, courses, sum;

static void fail(const char *what) {
    fprintf(stderr, "%s: %s\n", what, db ? sqlite3_errmsg(db) : "");
    exit(1);
}

static double now(void) {
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    return at.tv_sec * 1e3 + at.tv_nsec / 1e6;
}

static void touch(sqlite3_stmt *row, int count) {
    for (int i = 0; i < count; i++) {
        switch (sqlite3_column_type(row, i)) {
        case SQLITE_INTEGER:
            sum += sqlite3_column_int64(row, i);
            break;
        case SQLITE_TEXT:
            sum += sqlite3_column_text(row, i)[0] + sqlite3_column_bytes(row, i);
            break;
        }
    }
    rows++;
}

static void next(int t) {
    int code = sqlite3_step(table[t]);
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        fail("step");
    more[t] = code == SQLITE_ROW;
}

static const char *text(int t, int column) { return (const char *)sqlite3_column_text(table[t], column); }

/* All rows of a table that belong to a key; keys come in order. */
static void take(int t, const char *key) {
    while (more[t] && strcmp(text(t, 0), key) == 0) {
        touch(table[t], columns[t]);
        next(t);
    }
}

static void merge(void) {
    for (int t = 0; t < TABLES; t++)
        next(t);
    while (more[PATIENTS]) {
        char patient[64], course[64];
        snprintf(patient, sizeof patient, "%s", text(PATIENTS, 0));
        touch(table[PATIENTS], columns[PATIENTS]);
        while (more[COURSES] && strcmp(text(COURSES, 0), patient) == 0) {
            snprintf(course, sizeof course, "%s", text(COURSES, 1));
            touch(table[COURSES], columns[COURSES]);
            courses++;
            take(STEPS, course);
            take(FACTS, course);
            take(PRESCRIPTIONS, course);
            next(COURSES);
        }
        take(SHARPS, patient);
        next(PATIENTS);
    }
    for (int t = 0; t < TABLES; t++)
        if (more[t])
            fail("rows left over: the keys do not come in one order");
}

static void each(void) {
    for (int t = 0; t < TABLES; t++) {
        for (next(t); more[t]; next(t)) {
            touch(table[t], columns[t]);
            courses += t == COURSES;
        }
    }
}

int main(int count, char **words) {
    if (count != 3 + TABLES)
        fail("usage: stream each|merge FILE and six statements");
    if (sqlite3_open_v2(words[2], &db, SQLITE_OPEN_READONLY, NULL) != SQLITE_OK)
        fail("open");
    double start = now();
    for (int t = 0; t < TABLES; t++) {
        if (sqlite3_prepare_v2(db, words[3 + t], -1, &table[t], NULL) != SQLITE_OK)
            fail(words[3 + t]);
        columns[t] = sqlite3_column_count(table[t]);
    }
    if (strcmp(words[1], "merge") == 0)
        merge();
    else
        each();
    printf("%.3f %lld %lld %lld %s\n", now() - start, rows, courses, sum, sqlite3_libversion());
    return 0;
}
