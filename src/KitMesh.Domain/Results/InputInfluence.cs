using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Results;

/// <summary>How far one doubtful input moves the answer.</summary>
/// <param name="Input">The input, in plain words.</param>
/// <param name="Change">The change that was tried, with its amount: "loads 15 % higher".</param>
/// <param name="ShortByLastDay">Chance of running short by the last day with the change.</param>
/// <param name="Moves">Change of that chance; positive is worse.</param>
/// <param name="EnergyPerDay">What the change means in energy a day; negative is less for the crew.</param>
public sealed record InputInfluence(string Input, string Change, Probability ShortByLastDay, double Moves, WattHours EnergyPerDay);
