#include "stat/grades.h"

#include <math.h>

enum { N_STEPS = 8, N_GRADES = 16 };

static const double step_end[N_STEPS] = {3, 6, 10, 18, 30, 50, 80, 120};

static const double um[N_STEPS][N_GRADES] = {
    {0.3, 0.5, 0.8, 1.2, 2, 3, 4, 6, 10, 14, 25, 40, 60, 100, 140, 250},
    {0.4, 0.6, 1, 1.5, 2.5, 4, 5, 8, 12, 18, 30, 48, 75, 120, 180, 300},
    {0.4, 0.6, 1, 1.5, 2.5, 4, 6, 9, 15, 22, 36, 58, 90, 150, 220, 360},
    {0.5, 0.8, 1.2, 2, 3, 5, 8, 11, 18, 27, 43, 70, 110, 180, 270, 430},
    {0.6, 1, 1.5, 2.5, 4, 6, 9, 13, 21, 33, 52, 84, 130, 210, 330, 520},
    {0.6, 1, 1.5, 2.5, 4, 7, 11, 16, 25, 39, 62, 100, 160, 250, 390, 620},
    {0.8, 1.2, 2, 3, 5, 8, 13, 19, 30, 46, 74, 120, 190, 300, 460, 740},
    {1, 1.5, 2.5, 4, 6, 10, 15, 22, 35, 54, 87, 140, 220, 350, 540, 870},
};

static int step_of(double size)
{
    if (!(size > 0))
        return N_STEPS;
    int step = 0;
    while (step < N_STEPS && size > step_end[step])
        step++;
    return step;
}

double sw_grade_um(double size, int grade)
{
    const int step = step_of(size);
    if (step == N_STEPS || grade < SW_GRADE_01 || grade > SW_GRADE_MOST)
        return (double)NAN;
    return um[step][grade - SW_GRADE_01];
}

double sw_grade_factor(double mean_size)
{
    return 0.45 * cbrt(mean_size) + 0.001 * mean_size;
}

double sw_grade_mean(double size)
{
    const int step = step_of(size);
    if (step == N_STEPS)
        return (double)NAN;
    return sqrt((step ? step_end[step - 1] : 1) * step_end[step]);
}

int sw_grade_for(double size, double width)
{
    int grade = SW_GRADE_MOST;
    while (grade >= SW_GRADE_01 && !(sw_grade_um(size, grade) <= width))
        grade--;
    return grade;
}
