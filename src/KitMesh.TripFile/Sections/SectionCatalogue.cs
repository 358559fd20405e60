namespace KitMesh.TripFile.Sections;

/// <summary>Every section of a trip file, in the order of the documentation. A new one is one line here.</summary>
internal static class SectionCatalogue
{
    public static IReadOnlyList<Section> All { get; } =
    [
        new TripSection(),
        new PlaceSection(),
        new TeamSection(),
        new PersonSection(),
        new CalendarSection(),
        new WeatherSection(),
        new PanelHabitSection(),
        new BankSection(),
        new PackSection(),
        new BoxSection(),
        new PanelSection(),
        new LoadSection(),
        new OutletSection(),
        new SourceSection(),
        new CardSection(),
        new DriveSection(),
        new CaseSection(),
        new SharedDangerSection(),
        new CopyRuleSection(),
        new LossFigureSection(),
        new AgentSection(),
        new LinkSection(),
        new GearSection(),
        new ChoiceSection(),
    ];

    public static Section? Find(string name) => All.FirstOrDefault(section => section.Name == name);
}
