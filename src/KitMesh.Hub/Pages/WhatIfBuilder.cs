using KitMesh.Domain.Kit;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Views;

namespace KitMesh.Hub.Pages;

/// <summary>Gathers what the page "What if" shows.</summary>
internal sealed class WhatIfBuilder(TripView trip, WhatIfView views)
{
    /// <summary>The page.</summary>
    public async Task<WhatIfModel> WhatIfAsync(WhatIf change, CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        Seen<WhatIfAnswers>? seen = await views.TryAsync(change, cancellation).ConfigureAwait(false);
        PageHead head = PageHeads.Of(state, trip.Now);
        return new WhatIfModel(
            seen is null ? head : head.With(seen),
            change.Flights,
            change.NoHeater,
            change.CloudyDays,
            state.KitOf<Load>().Any(WhatIf.IsDrone),
            seen?.Answer is { } both ? [.. both.AsItIs.Banks.Zip(both.Changed.Banks, Row)] : []);
    }

    private static WhatIfRow Row(BankOutlook now, BankOutlook then) => new(
        now.Bank,
        Odds.InWords(now.ShortByLastDay.Best),
        Odds.InWords(then.ShortByLastDay.Best),
        Lasts(now),
        Lasts(then),
        Lowest(now),
        Lowest(then));

    private static string Lasts(BankOutlook bank) => PageText.Hours(bank.Autonomy.P50) + (bank.Autonomy.AtLeast ? " or longer" : "");

    private static string Lowest(BankOutlook bank) => bank.Days.Count == 0 ? "not known" : PageText.Percent(bank.Days.Min(day => day.Lowest.P50.Value));
}
