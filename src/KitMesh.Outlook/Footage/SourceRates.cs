using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Outlook.Footage;

/// <summary>
/// Gigabytes a day of each source, learnt from what was shot.
/// </summary>
/// <remarks>
/// <para>The declared figure counts as <see cref="DeclaredDays"/> days of seeing; each whole day since the trip began (a day
/// without a clip is a day of zero) counts as one. Mean: (n0·m0 + Σx) / (n0 + n). Variance of a day to come: (n0·s0² +
/// Σ(x - mean)²) / (n0 + n) · (1 + 1 / (n0 + n)); the last factor is what is not known about the mean.</para>
/// <para>The form is the normal model with a conjugate prior, its scale taken at its mean (A. Gelman et al., Bayesian Data
/// Analysis, 3rd ed., §3.3; from memory). Today is left out of the learning: it is not over.</para>
/// </remarks>
internal static class SourceRates
{
    /// <summary>Days of seeing that a declared figure is worth: judgement.</summary>
    public const double DeclaredDays = 3;

    /// <summary>Spread of a source of which nothing is declared, as a fraction of its mean: judgement.</summary>
    private const double UndeclaredSpread = 0.6;

    public static IReadOnlyList<LearntRate> Learn(Holdings holdings, LocalDate today)
    {
        LocalDate first = FirstDay(holdings, today);
        int days = Math.Max(0, Period.DaysBetween(first, today));
        IEnumerable<KitId?> names = holdings.Sources.Select(source => (KitId?)source.Id)
            .Concat(holdings.Shot.Select(shot => shot.Source))
            .Distinct()
            .OrderBy(name => name);
        return [.. names.Select(name => Learn(holdings, name, first, today, days))];
    }

    private static LocalDate FirstDay(Holdings holdings, LocalDate today)
    {
        LocalDate first = holdings.Trip?.FirstDay ?? today;
        return holdings.Trip is null && holdings.Shot.Count > 0 ? LocalDate.Min(first, holdings.Shot.Min(shot => shot.Day)) : first;
    }

    private static LearntRate Learn(Holdings holdings, KitId? name, LocalDate first, LocalDate today, int days)
    {
        FootageSource? declared = holdings.Sources.FirstOrDefault(source => source.Id == name);
        ShotDay[] shot = [.. holdings.Shot.Where(day => day.Source == name)];
        double[] past = [.. shot.Where(day => day.Day >= first && day.Day < today).Select(day => day.Size.Gigabytes)];
        double priorDays = declared is null ? 0 : DeclaredDays;
        double priorMean = declared?.GigabytesPerDay ?? 0;
        double priorSpread = declared is null ? 0 : declared.Spread * declared.GigabytesPerDay;
        double weight = priorDays + days;
        double mean = weight == 0 ? 0 : ((priorDays * priorMean) + past.Sum()) / weight;
        double squares = past.Sum(x => (x - mean) * (x - mean)) + ((days - past.Length) * mean * mean);
        double variance = weight == 0 ? 0 : ((priorDays * ((priorSpread * priorSpread) + ((priorMean - mean) * (priorMean - mean)))) + squares) / weight;
        if (declared is null)
        {
            variance = Math.Max(variance, Math.Pow(UndeclaredSpread * mean, 2));
        }

        double ofMean = weight == 0 ? 0 : variance / weight;
        return new LearntRate(
            new SourceRate(
                name ?? KitId.Parse("unknown source"),
                declared?.Team ?? shot.Select(day => day.Team).FirstOrDefault(team => team is not null),
                mean,
                Math.Sqrt(variance + ofMean),
                days,
                shot.Sum(day => day.Size.Gigabytes),
                declared?.GigabytesPerDay),
            variance,
            ofMean,
            shot.Where(day => day.Day == today).Sum(day => day.Size.Gigabytes));
    }
}
