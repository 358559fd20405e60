using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Debrief;

/// <summary>Charge that went into a pack whose coldest probe was under its lower limit.</summary>
/// <param name="Pack">The pack, or the bank where only that was read.</param>
/// <param name="Bank">Its bank.</param>
/// <param name="Limit">The limit: the maker's where the trip file tells it, else the chemistry's.</param>
/// <param name="Charge">Ampere-hours charged under it.</param>
/// <param name="Hours">For how long.</param>
/// <param name="Coldest">The coldest probe meanwhile; null when it never happened.</param>
/// <param name="UnwatchedHours">Hours of charging without any probe: nobody knows.</param>
public sealed record ColdCharge(KitId Pack, KitId Bank, Celsius Limit, AmpereHours Charge, double Hours, Celsius? Coldest, double UnwatchedHours);
