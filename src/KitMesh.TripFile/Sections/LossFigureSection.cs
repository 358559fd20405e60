using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>lossFigures:</c> become <see cref="LossFigure"/>.</summary>
internal sealed class LossFigureSection() : Section("lossFigures", "Figures behind the odds of loss that go before the published ones, each with its range and its source. docs/footage.md lists the published ones.")
{
    private static readonly WordKey<KitId> Figure = new(
        "figure",
        "Which figure.",
        null,
        [.. LossFigureNames.All.Select(name => (name, KitId.Parse(name)))]);

    private static readonly NumberKey Low = new("low", 0, 1000, 1e-16, "Its kind end.");
    private static readonly NumberKey Best = new("best", 0, 1000, 1e-15, "Its middle.");
    private static readonly NumberKey High = new("high", 0, 1000, 1e-14, "Its harsh end.");
    private static readonly LabelKey Source = new("source", "the maker's sheet of drive red, May 2026", "Where it is from and of which date. Must be told.");

    public override IReadOnlyList<TripKey> Keys { get; } = [Figure, Low, Best, High, Source];

    protected override void Read(TripEntry entry)
    {
        KitId figure = entry.Get(Figure);
        double low = entry.Get(Low);
        double best = entry.Get(Best);
        double high = entry.Get(High);
        KitId? source = entry.Optional(Source);
        if (entry.IsSound && !(low <= best && best <= high))
        {
            entry.Error(Best.Name, "The figures are not in order.", "Write low, best and high so that none is smaller than the one before.");
        }

        if (entry.IsSound && LossFigureNames.IsChance(figure.Value) && high >= 1)
        {
            entry.Error(High.Name, $"{figure} is a chance or a share, and lies below 1.", "Write it as a fraction.");
        }

        if (entry.IsSound && source is null)
        {
            entry.Error(entry.Line, Source.Name, "The key is missing.", $"Add \"{Source.Name}: {Source.Sample}\": a figure without a source is a guess.");
        }

        if (entry.IsSound)
        {
            entry.Ledger.Declare(KitKind.LossFigure, figure, entry.Line, entry.Path);
        }

        entry.Add(() => new LossFigure(figure, low, best, high, source!.Value.Value));
    }
}
