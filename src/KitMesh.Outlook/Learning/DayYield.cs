namespace KitMesh.Outlook.Learning;

/// <summary>What the panels gave on one day over what a cloudless sky would have given.</summary>
/// <param name="Ratio">The ratio.</param>
/// <param name="AtLeast">True when the panels were throttled, so that the sky was at least this bright.</param>
/// <param name="AgeDays">How many days ago; 0 is today.</param>
/// <param name="Doubt">Standard deviation of the ratio because only a part of the day was seen; 0 for a whole day.</param>
internal readonly record struct DayYield(double Ratio, bool AtLeast, int AgeDays, double Doubt = 0);
