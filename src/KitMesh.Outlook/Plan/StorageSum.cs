namespace KitMesh.Outlook.Plan;

/// <summary>The room as anybody can check it with a pencil. Gigabytes are decimal.</summary>
/// <param name="GigabytesPerDay">What all sources shoot on an ordinary day.</param>
/// <param name="Days">Days of the trip.</param>
/// <param name="Copies">Copies that the trip's rule asks for.</param>
/// <param name="NeededGigabytes">The three multiplied.</param>
/// <param name="HaveGigabytes">All drives together.</param>
/// <param name="RunwayDays">Days until the drives are full at that rate.</param>
public sealed record StorageSum(double GigabytesPerDay, int Days, int Copies, double NeededGigabytes, double HaveGigabytes, double RunwayDays);
