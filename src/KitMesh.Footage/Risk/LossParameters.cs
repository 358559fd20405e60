using KitMesh.Domain;
using KitMesh.Domain.Kit;

namespace KitMesh.Footage.Risk;

/// <summary>What the odds of loss rest on, with sources. Declared figures of drives and cases go before these.</summary>
/// <param name="AnnualFailureRate">Of a drive that declares none.</param>
/// <param name="AnnualFactor">Times a declared rate.</param>
/// <param name="FailingFactor">Times the chance of a drive that warns of itself.</param>
/// <param name="CommonShare">Share of a batch's failures that takes the whole batch.</param>
/// <param name="BitErrorRate">Unreadable bits per bit read at restore.</param>
/// <param name="RotPerDriveYear">Spots gone bad in silence per drive and year since the last recheck.</param>
/// <param name="UnprovenBad">Share of copies that are bad among those only written and never read back.</param>
/// <param name="CarrierChance">Chance that a person, team or sled loses all it carries, per trip.</param>
/// <param name="CaseFactor">Times the declared chance that a case is lost.</param>
/// <param name="CardAnnualFailureRate">Of a camera card.</param>
public sealed record LossParameters(
    RangedFigure AnnualFailureRate,
    RangedFigure AnnualFactor,
    RangedFigure FailingFactor,
    RangedFigure CommonShare,
    RangedFigure BitErrorRate,
    RangedFigure RotPerDriveYear,
    RangedFigure UnprovenBad,
    RangedFigure CarrierChance,
    RangedFigure CaseFactor,
    RangedFigure CardAnnualFailureRate)
{
    private const double MostChance = 0.99;

    /// <summary>Published figures as of November 2025; where there are none, that is said.</summary>
    public static readonly LossParameters Published = new(
        new(0.004, 0.0157, 0.04, "drives fail at 1.57 % a year (0.4 to 4 %): a public fleet of over 200,000 disks, 2024; models in it 0.40 to 2.45 %; Schroeder and Gibson, FAST 2007: 2 to 4 % common in the field"),
        new(0.25, 1, 2.5, "a declared yearly rate may be 4 times too high or 2.5 times too low, as models differ from their fleet"),
        new(10, 39, 39, "a drive with its first scan errors fails 39 times likelier within 60 days: Pinheiro et al., FAST 2007"),
        new(0.01, 0.05, 0.10, "1 to 10 % of the failures in one batch have a common cause: typical beta factors, IEC 61508-6"),
        new(1e-16, 1e-15, 1e-14, "one unreadable bit in 1e15 read (1e14 to 1e16): classes of JEDEC JESD218 and makers' sheets; a ceiling, not a mean"),
        new(0.0005, 0.005, 0.076, "0.076 checksum mismatches per drive and year at most (400,000 on 1.53 million drives in 41 months: Bairavasundaram et al., FAST 2008); the middle is our judgement"),
        new(0.0001, 1 / 1532.0, 0.01, "1 in 1,532 files bad among files written and never read back: Panzer-Steindel, CERN, 2007"),
        new(0.001, 0.003, 0.01, "a team or person loses all they carry once in 300 trips (100 to 1,000): our judgement, no published figure"),
        new(0.33, 1, 3, "a declared chance to lose a case may be 3 times too low or too high: our judgement"),
        new(0.004, 0.0157, 0.04, "camera cards as drives: no large published field study of cards was found"));

    /// <summary>These figures with those that a trip file declares in their places.</summary>
    /// <param name="declared">The declared figures; one that makes no sense, or that this version does not know, is passed over.</param>
    public LossParameters With(IEnumerable<LossFigure> declared)
    {
        LossParameters figures = this;
        foreach (LossFigure figure in declared.Where(IsSound))
        {
            figures = figures.With(figure.Id.Value, new RangedFigure(figure.Low, figure.Best, figure.High, $"{figure.Id}: {figure.Source} (declared in the trip file)"));
        }

        return figures;
    }

    private static bool IsSound(LossFigure figure) =>
        figure.Low >= 0
        && figure.Low <= figure.Best
        && figure.Best <= figure.High
        && figure.High <= (LossFigureNames.IsChance(figure.Id.Value) ? MostChance : double.MaxValue);

    private LossParameters With(string name, RangedFigure figure) => name switch
    {
        "annualFailureRate" => this with { AnnualFailureRate = figure },
        "annualFactor" => this with { AnnualFactor = figure },
        "failingFactor" => this with { FailingFactor = figure },
        "commonShare" => this with { CommonShare = figure },
        "bitErrorRate" => this with { BitErrorRate = figure },
        "rotPerDriveYear" => this with { RotPerDriveYear = figure },
        "unprovenBad" => this with { UnprovenBad = figure },
        "carrierChance" => this with { CarrierChance = figure },
        "caseFactor" => this with { CaseFactor = figure },
        "cardAnnualFailureRate" => this with { CardAnnualFailureRate = figure },
        _ => this,
    };

    /// <summary>Every figure's source, for the answer.</summary>
    public ValueList<string> Sources =>
    [
        AnnualFailureRate.Source, AnnualFactor.Source, FailingFactor.Source, CommonShare.Source, BitErrorRate.Source,
        RotPerDriveYear.Source, UnprovenBad.Source, CarrierChance.Source, CaseFactor.Source, CardAnnualFailureRate.Source,
    ];
}
