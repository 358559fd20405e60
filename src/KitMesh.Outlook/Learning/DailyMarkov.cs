using System.Globalization;
using KitMesh.Outlook.Energy;

namespace KitMesh.Outlook.Learning;

// Problem: the published way to carry one day's clearness over to the next, to score the learnt sky against.
// Method: the transition matrices of daily clearness Kt, ten states between a least and a greatest Kt for each class of monthly mean; the class nearest to the mean believed so far. A day that many
// days ahead has the distribution of the last day's state times the matrix to that power, even inside a state. Kt of a cloudless day is taken as 0.75.
// Source: R. Aguiar, M. Collares-Pereira, J. Conde, "Simple procedure for generating sequences of daily radiation values using a library of Markov transition matrices",
// Solar Energy 40 (1988) 269 to 279, as published with open tools; daily-kt-markov.csv, one class (0.30 to 0.35) is not in it. Check: DailyMarkovTests.

/// <summary>The published day-to-day matrices of clearness.</summary>
internal sealed class DailyMarkov
{
    private const int States = 10;
    private const double CloudlessClearness = 0.75;

    private static readonly DailyMarkov[] Classes = Read();

    private readonly double _least;
    private readonly double _greatest;
    private readonly double _mean;
    private readonly double[][] _rows;

    private DailyMarkov(double least, double greatest, double mean, double[][] rows) =>
        (_least, _greatest, _mean, _rows) = (least, greatest, mean, rows);

    /// <summary>The class for a mean clear-sky index.</summary>
    internal static DailyMarkov For(double meanIndex) => Classes.MinBy(one => Math.Abs(one._mean - (meanIndex * CloudlessClearness)))!;

    /// <summary>Members of a forecast at even shares.</summary>
    /// <param name="lastIndex">The last day's clear-sky index.</param>
    /// <param name="lead">Days ahead, from 1.</param>
    /// <param name="members">How many members.</param>
    internal double[] Ahead(double lastIndex, int lead, int members)
    {
        double at = ((lastIndex * CloudlessClearness) - _least) / (_greatest - _least) * States;
        var shares = new double[States];
        shares[Math.Clamp((int)at, 0, States - 1)] = 1;
        for (int day = 0; day < lead; day++)
        {
            shares = [.. Enumerable.Range(0, States).Select(to => Enumerable.Range(0, States).Sum(from => shares[from] * _rows[from][to]))];
        }

        return [.. Enumerable.Range(0, members).Select(i => Quantile(shares, (i + 0.5) / members))];
    }

    private double Quantile(double[] shares, double share)
    {
        double below = 0;
        int state = 0;
        while (state < States - 1 && below + shares[state] < share)
        {
            below += shares[state++];
        }

        double part = shares[state] > 0 ? Math.Clamp((share - below) / shares[state], 0, 1) : 0.5;
        double clearness = _least + ((state + part) / States * (_greatest - _least));
        return Math.Clamp(clearness / CloudlessClearness, SkyCurve.Least, SkyCurve.Greatest);
    }

    private static DailyMarkov[] Read()
    {
        using Stream stream = typeof(DailyMarkov).Assembly.GetManifestResourceStream("KitMesh.Outlook.daily-kt-markov.csv")!;
        using var reader = new StreamReader(stream);
        string[][] lines = [.. reader.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries).Where(line => char.IsDigit(line[0])).Select(line => line.Trim().Split(','))];
        return [.. lines.GroupBy(cells => cells[0]).Select(Class)];
    }

    private static DailyMarkov Class(IGrouping<string, string[]> lines)
    {
        string[][] ordered = [.. lines.OrderBy(cells => (int)Number(cells[4]))];

        // Rows are printed to three digits: what is missing to 1 is shared out.
        double[][] rows = [.. ordered.Select(cells =>
        {
            double[] row = [.. cells.Skip(5).Take(States).Select(Number)];
            double sum = row.Sum();
            return row.Select(share => share / sum).ToArray();
        })];
        double least = Number(ordered[0][2]);
        double greatest = Number(ordered[0][3]);
        double[] stay = [.. Enumerable.Repeat(1.0 / States, States)];
        for (int i = 0; i < 100; i++)
        {
            stay = [.. Enumerable.Range(0, States).Select(to => Enumerable.Range(0, States).Sum(from => stay[from] * rows[from][to]))];
        }

        double mean = stay.Select((share, state) => share * (least + ((state + 0.5) / States * (greatest - least)))).Sum();
        return new DailyMarkov(least, greatest, mean, rows);
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}
