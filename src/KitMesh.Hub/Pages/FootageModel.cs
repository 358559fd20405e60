using KitMesh.Domain.Results;

namespace KitMesh.Hub.Pages;

/// <summary>What the page "Footage" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Ledger">Cards, drives, days, and the clips that are short of copies.</param>
/// <param name="Footage">The footage outlook; null when it could not be computed.</param>
/// <param name="Sources">Copies and cases by day and source.</param>
/// <param name="Sound">Recorders' sound beside the picture of the newest days.</param>
/// <param name="Damaged">Clips with something wrong in themselves.</param>
/// <param name="Clips">How many clips there are.</param>
public sealed record FootageModel(
    PageHead Head,
    LedgerView Ledger,
    FootageOutlook? Footage,
    IReadOnlyList<SourceDayRow> Sources,
    IReadOnlyList<SoundDayRow> Sound,
    IReadOnlyList<ClipRow> Damaged,
    int Clips);
