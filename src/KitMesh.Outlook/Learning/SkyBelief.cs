namespace KitMesh.Outlook.Learning;

/// <summary>What is believed of a place's sky and a bank's panels after the yields so far.</summary>
/// <param name="SkyShift">Shift of the logit of the mean sky against the declared one.</param>
/// <param name="SkyDoubt">Standard deviation of that shift.</param>
/// <param name="SkyWidth">Factor on the spread of the sky from day to day; 1 is as declared.</param>
/// <param name="PanelFactor">What the panels give over what the trip file says; 1 is as declared.</param>
/// <param name="PanelDoubt">Its standard deviation as a fraction.</param>
/// <param name="LastZ">Gaussian position of the last day seen; null when none was.</param>
/// <param name="LastAgeDays">How many days ago that was; 1 is yesterday.</param>
/// <param name="Days">Days it was learnt from.</param>
internal readonly record struct SkyBelief(
    double SkyShift, double SkyDoubt, double SkyWidth, double PanelFactor, double PanelDoubt, double? LastZ, int LastAgeDays, int Days);
