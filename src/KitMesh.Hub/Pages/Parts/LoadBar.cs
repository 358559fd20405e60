using System.Globalization;
using KitMesh.Domain.Quantities;

namespace KitMesh.Hub.Pages.Parts;

/// <summary>A bar of what one device takes a day, in hundredths of the greatest.</summary>
/// <param name="Words">What it says.</param>
/// <param name="Width">Its width.</param>
/// <param name="Look">Its class: filled where it was measured, an outline of dashes where it is a guess.</param>
internal sealed record LoadBar(string Words, string Width, string Look)
{
    /// <summary>The bars of some rows, in their order.</summary>
    public static IReadOnlyList<LoadBar> Of(IReadOnlyList<LoadRow> rows)
    {
        double most = Math.Max(1, rows.Max(row => PerDay(row).Value));
        return [.. rows.Select(row => new LoadBar(Say(row), Math.Max(0.5, PerDay(row).Value / most * 100).ToString("0.#", CultureInfo.InvariantCulture), row.Mean is null ? "bar guessed" : "bar"))];
    }

    private static string Say(LoadRow row) => row.Mean is { } mean
        ? $"{PageText.WattHours(mean)} a day, measured{(row.IsByCharge ? " by the charge of its battery" : "")} (the trip file says {PageText.WattHours(row.Declared)})"
        : $"{PageText.WattHours(row.Declared)} a day by the trip file, not measured";

    private static WattHours PerDay(LoadRow row) => row.Mean ?? row.Declared;
}
