using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Debrief;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>What happened in some days of a trip, as far as the reports tell. Null is "not measured", never zero.</summary>
/// <param name="Trip">The trip.</param>
/// <param name="Scope">Which days and whose.</param>
/// <param name="Zone">The crew's civil time.</param>
/// <param name="AsOf">When the newest report was written.</param>
/// <param name="Reports">Reports behind it, those of other days included.</param>
/// <param name="StateFingerprint">Fingerprint of the state behind it.</param>
/// <param name="Energy">Energy by bank and day.</param>
/// <param name="Footage">Footage by day and source.</param>
/// <param name="Safety">The ledger's word by day and team: how many clips meet their copy rule now.</param>
/// <param name="Cards">Cards on hold, or formatted too early, at the end.</param>
/// <param name="Offloads">Visits of cards, by time.</param>
/// <param name="FailedCopies">Copies that failed, by time.</param>
/// <param name="Alerts">Alerts that agents raised, and those that a hub would have stood by; by time.</param>
/// <param name="Faults">Faults of readers, by time.</param>
/// <param name="Silences">Agents that were not heard for longer than the trip file allows, by time.</param>
/// <param name="Changes">What to change next time.</param>
public sealed record TripAccount(
    KitId Trip,
    AccountScope Scope,
    Offset Zone,
    Instant AsOf,
    long Reports,
    string StateFingerprint,
    TripDebrief Energy,
    ValueList<FootageSum> Footage,
    ValueList<DayRow> Safety,
    ValueList<CardRow> Cards,
    ValueList<OffloadRun> Offloads,
    ValueList<FailedCopyLine> FailedCopies,
    ValueList<StandingSpan> Alerts,
    ValueList<StandingSpan> Faults,
    ValueList<StandingSpan> Silences,
    ValueList<ChangeNext> Changes);
