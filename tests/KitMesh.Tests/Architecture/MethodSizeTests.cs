using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;

namespace KitMesh.Tests.Architecture;

/// <summary>A method past 70 lines does more than one thing. Lines are counted from its first brace to its last.</summary>
public sealed class MethodSizeTests
{
    private const int MaxLines = 70;

    [Theory]
    [InlineData("src")]
    [InlineData("tests")]
    public void EveryMethod_StaysUnderTheLimit(string folder)
    {
        IEnumerable<string> tooLong = SourceTree.CSharpFiles(folder).SelectMany(LongMethods);

        Assert.Empty(tooLong);
    }

    private static IEnumerable<string> LongMethods(string file)
    {
        var root = CSharpSyntaxTree.ParseText(File.ReadAllText(file)).GetCompilationUnitRoot();
        foreach (BlockSyntax body in root.DescendantNodes().OfType<BlockSyntax>().Where(IsBody))
        {
            var span = body.GetLocation().GetLineSpan();
            int lines = span.EndLinePosition.Line - span.StartLinePosition.Line + 1;
            if (lines > MaxLines)
            {
                yield return $"{SourceTree.Relative(file)}:{span.StartLinePosition.Line}: {lines} lines";
            }
        }
    }

    private static bool IsBody(BlockSyntax block) =>
        block.Parent is BaseMethodDeclarationSyntax or AccessorDeclarationSyntax or LocalFunctionStatementSyntax;
}
