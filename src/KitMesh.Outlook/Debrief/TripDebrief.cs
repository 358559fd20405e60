using KitMesh.Domain;
using KitMesh.Domain.Planning;

namespace KitMesh.Outlook.Debrief;

/// <summary>What a trip's energy really did.</summary>
/// <param name="Banks">By team and name.</param>
/// <param name="Loads">By bank and name; those that were never metered have no days.</param>
/// <param name="Cold">One entry a pack or bank that was read.</param>
/// <param name="Learnt">What the readings tell of the kit's figures.</param>
public sealed record TripDebrief(ValueList<BankDebrief> Banks, ValueList<LoadDebrief> Loads, ValueList<ColdCharge> Cold, ValueList<TripEvidence> Learnt);
